//! What `sheet` prints.

use super::super::figures;
use super::Sheeted;
use crate::report::render::fit::{clean, hang};
use crate::report::render::text::{self, Style, section};
use crate::study::sheet::{Pace, Unseen};
use crate::time::Seconds;

impl Sheeted<'_> {
    /// How long somebody waits with nothing to do.
    pub(super) fn waiting(&self) -> Seconds {
        Pace::USUAL.waiting(self.model, &self.sheet.steps)
    }

    /// What the sheet shows, as a sentence.
    pub(super) fn coverage(&self) -> String {
        let sheet = self.sheet;
        let shown = sheet.reachable - sheet.missing.len();
        let seen = sheet.varied - sheet.unseen.len();
        format!(
            "It shows {shown} of the {} different outcomes that presses can have here, and would \
             catch {seen} of {} settings changed one at a time.",
            sheet.reachable, sheet.varied
        )
    }
}

/// Changes of settings that no line shows, each setting once with its values.
pub(super) fn unseen_by_path(unseen: &[Unseen]) -> Vec<(&Unseen, Vec<&str>)> {
    let mut all: Vec<(&Unseen, Vec<&str>)> = Vec::new();
    for one in unseen {
        match all.iter_mut().find(|(first, _)| first.path == one.path) {
            Some((_, values)) => values.push(&one.to),
            None => all.push((one, vec![&one.to])),
        }
    }
    all
}

/// The whole text. `files` are the paths that were written.
pub fn sheet_text(sheeted: &Sheeted<'_>, style: Style, files: &[String]) -> String {
    let mut out = String::new();
    text::strong(&mut out, style, &sheeted.answer());
    if sheeted.plan.witness.is_none() {
        out.push_str(&hang("", &sheeted.coverage(), style.width));
    }
    if let Some(words) = sheeted.choice_words() {
        out.push_str(&hang("", &words, style.width));
    }
    section(&mut out, style, "Requirements", &text::list(&sheeted.witness_words(), style));
    let times =
        text::list(&sheeted.times(), style) + &hang("  ", &Sheeted::pace_words(), style.width);
    let times = match sheeted.order_words() {
        Some(words) => times + &hang("  ", &words, style.width),
        None => times,
    };
    section(&mut out, style, "Time", &times);
    out.push_str("\nRooms must read\n");
    for (room, names) in sheeted.rooms() {
        let unit = figures::unit_sign(sheeted.model.unit);
        let line = format!("{} {unit}: {}", figures::setpoint(room), names.join(", "));
        out.push_str(&hang("  ", &clean(&line), style.width));
    }
    let list = |head: &str, lines: Vec<String>, out: &mut String| {
        section(out, style, head, &text::list(&lines, style));
    };
    let sheet = sheeted.sheet;
    let deferred = sheet.deferred.iter().map(|it| sheeted.deferred(it)).collect();
    list("Left out", sheeted.left_out_words(), &mut out);
    list("Deferred", deferred, &mut out);
    let missing = sheet.missing.iter().map(|(zone, item)| sheeted.missing(*zone, *item)).collect();
    list("Outcomes of presses that this sheet does not show", missing, &mut out);
    let unseen = unseen_by_path(&sheet.unseen);
    let unseen = unseen.into_iter().map(|(it, values)| {
        format!("{} (to {}): {}", it.path, values.join(", "), sheeted.why_unseen(it))
    });
    list("Changes of settings that this sheet would not catch", unseen.collect(), &mut out);
    text::files(&mut out, style, files);
    out
}
