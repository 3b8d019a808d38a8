use std::collections::BTreeSet;

use super::*;
use crate::control::{Outcome, Side};
use crate::direction::Direction;
use crate::engine::{Entry, Event, StepRow};

fn answered(seed: u64, guess: Option<&str>) -> Answered {
    Answered {
        seed,
        guess: guess.map(Into::into),
        presses: vec![],
        asked: 0,
        wrong: 0,
        zone: None,
        width: Some(600),
    }
}

/// The first seed of each fault.
fn seeds() -> Vec<(u64, Building, Planted)> {
    let mut met = BTreeSet::new();
    let all = (0..400).map(|seed| (seed, chosen(seed).expect("a puzzle")));
    let first = all.filter(|(_, (_, fault))| met.insert(fault.id.clone()));
    first.map(|(seed, (building, fault))| (seed, building, fault)).collect()
}

/// What people say, worked out anew from the steps and the ledger, and never by the words' own code.
fn numbers(look: &Look, day: &Day) -> Vec<String> {
    let run = day.run();
    let of = |id: &str| {
        let zone = day.zone(id).expect("a zone");
        run.rows.iter().filter(move |row| row.zone == zone).collect::<Vec<&StepRow>>()
    };
    let degrees = |value: f64| format!("{value:.1} \u{b0}C");
    let at =
        |id: &str, second: i64| *of(id).iter().find(|row| row.at.get() >= second).expect("a row");
    match look {
        Look::Changeovers => {
            let is = |row: &&crate::engine::LedgerRow| {
                matches!(row.entry, Entry::Event(Event::Changeover { .. }))
            };
            vec![format!("{} times", run.ledger.iter().filter(is).count())]
        }
        Look::Air { zone, at: clock } => {
            let row = at(zone, clock.on(0).get());
            vec![degrees(row.temperature), degrees(row.heat)]
        }
        Look::Reading { zone, at: clock } => {
            let row = at(zone, clock.on(0).get());
            vec![degrees(row.sensed), degrees(row.temperature)]
        }
        Look::Swing { zone, from, to } => {
            let inside = |row: &&&StepRow| row.at >= from.on(0) && row.at < to.on(0);
            let rows = of(zone);
            let air = || rows.iter().filter(inside).map(|row| row.temperature);
            vec![degrees(air().fold(f64::MAX, f64::min)), degrees(air().fold(f64::MIN, f64::max))]
        }
        Look::Lift { zone } => {
            let rows = of(zone);
            let mean = |served: Option<Direction>| {
                let rows: Vec<_> = rows.iter().filter(|row| row.served == served).collect();
                rows.iter().map(|row| row.sensed - row.temperature).sum::<f64>() / rows.len() as f64
            };
            [Some(Direction::Heating), None].map(|it| degrees(mean(it).abs())).into()
        }
        Look::Starved { zone } => {
            let step = run.model.period.step().in_hours();
            let waits = of(zone).iter().filter(|row| row.starved).count() as f64 * step;
            vec![format!("{waits:.1} h")]
        }
        Look::Wait { zone } => {
            // The longest stretch of warm rows without cooling.
            let (mut longest, mut open) = (0, 0);
            let start = run.model.zones[0].controls.thermostat.call_start;
            for row in of(zone) {
                let warm = row.sensed > row.cool + start.cooling && row.served.is_none();
                open = if warm { open + 1 } else { 0 };
                longest = longest.max(open);
            }
            let hours = f64::from(longest) * run.model.period.step().in_hours();
            vec![format!("{hours:.1} h"), "above cool".into()]
        }
        Look::AutoOff { zone } => {
            let rows = of(zone);
            let off = rows.iter().find(|row| row.power == crate::control::Power::Off);
            vec![run.model.period.clock(off.expect("it goes off").at)]
        }
        Look::Given { zone, at: clock } => {
            let row = at(zone, clock.on(0).get());
            assert!(row.served.is_none() && row.sensed < row.heat, "{row:?}");
            vec![]
        }
        Look::Outcome { action } => {
            let row = day.row_of(*action).expect("a row");
            let Entry::Request { outcome, side, .. } = &row.entry else { panic!("a request") };
            let side = side.unwrap_or(Side::Heat);
            let grid = run.model.zones[row.zone.get()].controls.settings.grid;
            let word = if *outcome == Outcome::Refused { "refused" } else { "held" };
            assert_eq!(row.before.setpoints, row.after.setpoints);
            let stands = grid.show(row.after.setpoints.get(side));
            vec![word.into(), format!("stays at {stands}")]
        }
        other => panic!("no sign so far: {other:?}"),
    }
}

/// What people say is so on the day, and is not so on the sound one.
#[test]
fn each_symptom_is_what_the_day_shows() {
    let all: usize = buildings().expect("buildings").iter().map(|it| it.faults.len()).sum();
    let seeds = seeds();
    assert!(all >= 10 && seeds.len() == all, "{} of {all} faults are met", seeds.len());
    for (_, building, fault) in seeds {
        let day = simulated(&building, &fault.set, &[]).expect("a day");
        let sound = simulated(&building, &Places::new(), &[]).expect("a day");
        let said = fault.sign.at(&day).expect("a sign");
        let otherwise = fault.sign.at(&sound).expect("a sign");
        assert_ne!(said.words, otherwise.words, "{}", fault.id);
        for number in numbers(&fault.sign, &day) {
            assert!(said.sentence.contains(&number), "{}: {number} in {}", fault.id, said.sentence);
        }
        for question in &building.questions {
            assert!(question.look.at(&day).is_some(), "{} {}", fault.id, question.id);
        }
    }
}

/// Right at once, and a wrong guess with what it had shown.
#[test]
fn each_fault_is_found_and_a_wrong_guess_is_answered() {
    for (seed, building, fault) in seeds() {
        let found = judge(&answered(seed, Some(&fault.id))).expect("a verdict");
        assert!(found.right && found.score == FULL_SCORE && found.instead.is_none());
        let revealed = found.fault.expect("the fault");
        assert!(!revealed.settings.is_empty(), "{}", fault.id);
        let words = revealed.settings.join(" ") + &revealed.because + &revealed.label;
        assert!(!words.contains("zones.") && !words.contains('_'), "{words}");
        let mut others = building.faults.iter().filter(|other| other.id != fault.id);
        let other = others.next().expect("another fault");
        let wrong = judge(&answered(seed, Some(&other.id))).expect("a verdict");
        assert!(!wrong.right && wrong.fault.is_none(), "{} {}", fault.id, other.id);
        let instead = wrong.instead.unwrap_or_else(|| panic!("{} {}", fault.id, other.id));
        assert_ne!(instead.then, instead.now);
        assert!(instead.chart.starts_with("<svg") && instead.label == other.label);
    }
}

/// Whatever is guessed, something that can be seen or asked speaks against it.
#[test]
fn every_two_faults_of_a_building_can_be_told_apart() {
    for building in buildings().expect("buildings") {
        let days: Vec<Day> = building
            .faults
            .iter()
            .map(|fault| simulated(&building, &fault.set, &[]).expect("a day"))
            .collect();
        let looks: Vec<&Look> = building
            .faults
            .iter()
            .map(|fault| &fault.sign)
            .chain(building.questions.iter().map(|question| &question.look))
            .collect();
        let told: Vec<Vec<Option<String>>> = days
            .iter()
            .map(|day| looks.iter().map(|look| look.at(day).map(|it| it.words)).collect())
            .collect();
        for (one, fault) in building.faults.iter().enumerate() {
            for (other, guess) in building.faults.iter().enumerate().take(one) {
                // What the player is told of a wrong guess: a sign of either, or a question.
                let signs = [one, other].into_iter().chain(days.len()..looks.len());
                let apart = |at: usize| told[one][at] != told[other][at];
                assert!(signs.into_iter().any(apart), "{} and {}", fault.id, guess.id);
            }
        }
    }
}

#[test]
fn the_answer_is_held_back() {
    for (seed, _, fault) in seeds() {
        let played = Played { seed, presses: vec![], asked: vec![], zone: None, width: Some(500) };
        let shown = show(&played).expect("a day");
        assert!(shown.questions.iter().all(|question| question.found.is_none()));
        let text = serde_json::to_string(&shown).expect("JSON");
        assert!(!text.contains(&fault.because));
        for path in fault.set.keys() {
            assert!(!text.contains(path), "{path} gives it away");
        }
        let asked = vec![shown.questions[0].id.clone()];
        let again = show(&Played { asked, ..played }).expect("a day");
        assert_eq!(again.questions.iter().filter(|question| question.found.is_some()).count(), 1);
    }
}

#[test]
fn the_score_falls_with_wrong_answers_questions_and_many_presses() {
    let (_, fault) = chosen(7).expect("a puzzle");
    let press = Pressed::new(
        12 * 3600,
        if fault.set.keys().any(|it| it.contains("hall")) { "hall" } else { "shop" },
        "warmer",
    );
    let judged = |guess: Option<&str>, presses: usize, asked, wrong| {
        let presses = vec![press.clone(); presses];
        judge(&Answered { presses, asked, wrong, ..answered(7, guess) }).expect("a verdict")
    };
    assert_eq!(judged(Some(&fault.id), 3, 0, 0).score, 10);
    assert_eq!(judged(Some(&fault.id), 5, 0, 1).score, 5);
    assert_eq!(judged(Some(&fault.id), 0, 2, 1).score, 5);
    assert_eq!(judged(Some(&fault.id), 9, 50, 50).score, 0);
    assert!(judged(Some("nonsense"), 0, 0, 0).fault.is_none());
    let given_up = judged(None, 0, 0, 0);
    assert!(!given_up.right && given_up.fault.is_some());
}
