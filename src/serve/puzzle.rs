//! Find the fault: sound settings with one fault put in, chosen by a seed.
//!
//! What a technician on site would see is shown: the day, the requests and how they ended, what
//! keys do. Settings, findings and reasons are held back until the answer.

mod faults;

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde::{Deserialize, Serialize};

use super::day::{Reply, of_study};
use super::drawing::Wanted;
use super::state::{Pressed, pressed_into};
use super::trouble::Trouble;
use crate::scenario::{Edit, Study, edit, read};
use faults::{BUILDINGS, Building, Planted};

/// So many presses cost nothing.
const FREE_PRESSES: usize = 3;
/// What a first right answer is worth.
const FULL_SCORE: usize = 10;
/// What a wrong answer takes away.
const WRONG_COSTS: usize = 3;

/// What a player has done so far.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Played {
    seed: u64,
    #[serde(default)]
    presses: Vec<Pressed>,
    /// Whose day is drawn; the first zone's without one.
    #[serde(default)]
    zone: Option<String>,
    /// How wide, px.
    #[serde(default)]
    width: Option<u32>,
}

/// A player's answer.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Answered {
    seed: u64,
    /// The id of a fault; giving up without one.
    guess: Option<String>,
    /// How many keys were pressed.
    presses: usize,
    /// How many answers were wrong before.
    wrong: usize,
}

/// A day with a fault in it.
#[derive(Clone, Debug, Serialize)]
pub(super) struct PuzzleDay {
    #[serde(flatten)]
    day: Reply,
    /// What the people there say.
    complaint: &'static str,
    choices: Vec<Choice>,
}

#[derive(Clone, Debug, Serialize)]
struct Choice {
    id: &'static str,
    label: &'static str,
}

/// Whether an answer is right, and then what the fault is.
#[derive(Clone, Debug, Serialize)]
pub(super) struct PuzzleVerdict {
    right: bool,
    score: usize,
    of: usize,
    /// The fault, once it is found or given up.
    fault: Option<Revealed>,
}

#[derive(Clone, Debug, Serialize)]
struct Revealed {
    label: &'static str,
    because: &'static str,
    /// Where it stands in the settings, and what stands there.
    written: Vec<String>,
}

/// The building and the fault of a seed.
fn chosen(seed: u64) -> (&'static Building, &'static Planted) {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let all: usize = BUILDINGS.iter().map(|building| building.faults.len()).sum();
    // Each fault is as likely as every other, in whichever building.
    let mut place = random.random_range(0..all);
    for building in BUILDINGS {
        match building.faults.get(place) {
            Some(fault) => return (building, fault),
            None => place -= building.faults.len(),
        }
    }
    (&BUILDINGS[0], &BUILDINGS[0].faults[0])
}

fn edits(fault: &Planted) -> Result<Vec<Edit>, Trouble> {
    let one = |(path, value): &(&str, &str)| {
        let value = serde_json::from_str(value).map_err(Trouble::form)?;
        Ok(Edit { path: (*path).to_owned(), value })
    };
    fault.edits.iter().map(one).collect()
}

/// The scenario with its fault and the keys that were pressed.
fn scenario(
    building: &Building,
    fault: &Planted,
    presses: &[Pressed],
) -> Result<(String, Study), Trouble> {
    let text = edit(building.text, &edits(fault)?)?;
    let text = pressed_into(&text, presses)?;
    let none = |_: &str| Err("a puzzle names no files".to_owned());
    let study = read(&text, "puzzle.yaml", &none)?;
    Ok((text, study))
}

/// The day as a player sees it.
pub(super) fn show(played: &Played) -> Result<PuzzleDay, Trouble> {
    let (building, fault) = chosen(played.seed);
    let (text, study) = scenario(building, fault, &played.presses)?;
    let wanted = Wanted { zone: played.zone.as_deref(), width: played.width, ..Wanted::default() };
    let mut day = of_study(&text, &study, 0, wanted)?;
    day.hold_back();
    let choices = building.faults.iter().map(|it| Choice { id: it.id, label: it.label }).collect();
    Ok(PuzzleDay { day, complaint: fault.complaint, choices })
}

/// Judges an answer.
pub(super) fn judge(guess: &Answered) -> PuzzleVerdict {
    let (_, fault) = chosen(guess.seed);
    let right = guess.guess.as_deref() == Some(fault.id);
    let lost = guess
        .wrong
        .saturating_mul(WRONG_COSTS)
        .saturating_add(guess.presses.saturating_sub(FREE_PRESSES));
    let score = if right { FULL_SCORE.saturating_sub(lost) } else { 0 };
    let written = || fault.edits.iter().map(|(path, value)| format!("{path}: {value}")).collect();
    let revealed = (right || guess.guess.is_none()).then(|| Revealed {
        label: fault.label,
        because: fault.because,
        written: written(),
    });
    PuzzleVerdict { right, score, of: FULL_SCORE, fault: revealed }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::study::{Keep, simulate};

    /// Keys under which each fault shows at least something.
    fn trial() -> Vec<Pressed> {
        [9, 10, 11].map(|hour| Pressed::new(hour * 3600, "hall", "warmer")).into()
    }

    #[test]
    fn every_fault_shows_in_the_day_or_under_the_keys() {
        for building in BUILDINGS {
            let presses: Vec<Pressed> =
                if building.text.contains("hall:") { trial() } else { Vec::new() };
            let sound = Planted { id: "", label: "", complaint: "", because: "", edits: &[] };
            let run = |fault: &Planted| {
                let (_, study) = scenario(building, fault, &presses).expect("a scenario");
                let finished = simulate(&study.base, Keep::Nothing);
                let rows: Vec<_> =
                    finished.ledger.iter().map(|row| (row.at, row.entry.clone())).collect();
                (finished.summary.zones, rows)
            };
            let without = run(&sound);
            for fault in building.faults {
                assert_ne!(run(fault), without, "{} cannot be seen", fault.id);
            }
        }
    }

    #[test]
    fn seeds_reach_every_fault_and_the_answer_is_held_back() {
        let mut met = BTreeSet::new();
        for seed in 0..200 {
            let (_, fault) = chosen(seed);
            met.insert(fault.id);
        }
        let all: usize = BUILDINGS.iter().map(|building| building.faults.len()).sum();
        assert_eq!(met.len(), all);
        let shown =
            show(&Played { seed: 3, presses: vec![], zone: None, width: None }).expect("a day");
        let text = serde_json::to_string(&shown).expect("JSON");
        let (_, fault) = chosen(3);
        assert!(!text.contains(fault.because));
        for (path, _) in fault.edits {
            assert!(!text.contains(path), "{path} gives it away");
        }
    }

    #[test]
    fn the_score_falls_with_wrong_answers_and_many_presses() {
        let (_, fault) = chosen(7);
        let judged = |guess: Option<&str>, presses, wrong| {
            judge(&Answered { seed: 7, guess: guess.map(Into::into), presses, wrong })
        };
        assert_eq!(judged(Some(fault.id), 3, 0).score, 10);
        assert_eq!(judged(Some(fault.id), 5, 1).score, 5);
        assert_eq!(judged(Some(fault.id), 50, 50).score, 0);
        assert!(judged(Some("nonsense"), 0, 0).fault.is_none());
        let given_up = judged(None, 0, 0);
        assert!(!given_up.right && given_up.fault.is_some());
    }
}
