//! `sheet.csv`, with the words of its lines. The table itself stands where it is read again.

use super::Sheeted;
use super::words::{deed_words, part_words};
use crate::study::sheet::{Deed, Deferred, Hindrance, Part, Shown, Step, season};
use crate::study::sheet_csv::{Behind, Claim, Need, NotShown, PutOff, REQUIREMENT, Words, write};

/// The whole file.
///
/// # Errors
/// Those of the CSV writer, which an unbounded buffer gives no reason for.
pub fn sheet_csv(sheeted: &Sheeted<'_>) -> Result<Vec<u8>, csv::Error> {
    let words = |at: usize, step: &Step| Words {
        part: part_words(step.part),
        proves: match &step.deed {
            Deed::Restore { .. }
            | Deed::Leave
            | Deed::Return
            | Deed::Window(_)
            | Deed::Outdoors(_)
            | Deed::Clock(_) => {
                let proof = sheeted.proof(step);
                if proof.is_empty() {
                    deed_words(step)
                } else {
                    format!("{}: {proof}", deed_words(step))
                }
            }
            _ => sheeted.proof(step),
        },
        shows: sheeted.claims(at),
    };
    write(sheeted.model, &sheeted.sheet.steps, words, &sheeted.behind())
}

impl Sheeted<'_> {
    /// The settings and requirements that a line shows.
    fn claims(&self, at: usize) -> Vec<Claim> {
        let here = self.sheet.seen.iter().filter(|it| it.line == at);
        let settings = here.map(|it| Claim { subject: it.path.clone(), value: it.value.clone() });
        let shows = |shown: &Shown| matches!(shown, Shown::Lines(lines) if lines.contains(&at));
        let asked = self.plan.witness.iter().flatten().filter(|(_, shown)| shows(shown));
        settings.chain(asked.map(|(id, _)| requirement(id))).collect()
    }

    /// What no line shows, and what has to wait.
    fn behind(&self) -> Behind {
        let mut not_shown: Vec<NotShown> = Vec::new();
        for it in &self.sheet.unseen {
            let claim = Claim { subject: it.path.clone(), value: it.from.clone() };
            if not_shown.iter().all(|known| known.claim != claim) {
                let never = self.why_not_here(it).is_none();
                not_shown.push(NotShown { claim, why: self.why_unseen(it), never });
            }
        }
        for (id, shown) in self.plan.witness.iter().flatten() {
            if let Shown::Not(why) = shown {
                let (claim, why) = (requirement(id), (*why).to_owned());
                not_shown.push(NotShown { claim, why, never: true });
            }
        }
        let put_off = self.sheet.deferred.iter().map(|it| PutOff {
            zone: self.zone(it.zone).id.clone(),
            part: part_words(it.part),
            need: self.need(it),
            why: self.hindrance(it.zone, it.why),
        });
        Behind { not_shown, put_off: put_off.collect() }
    }

    /// What a part waits for.
    fn need(&self, deferred: &Deferred) -> Need {
        match deferred.why {
            Hindrance::Season(direction) => {
                let season = season(self.model, deferred.zone, direction);
                Need::Outdoor { from: season.lowest, to: season.highest }
            }
            Hindrance::Midnight | Hindrance::Wait(_) if deferred.part == Part::Unoccupied => {
                Need::Occupancy
            }
            _ => Need::Other,
        }
    }
}

fn requirement(id: &str) -> Claim {
    Claim { subject: format!("{REQUIREMENT}{id}"), value: String::new() }
}
