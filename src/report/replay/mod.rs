//! What `replay` says: the days of a log with other settings, for people, for programs and as a page.

mod beside;
mod json;
#[cfg(feature = "pages")]
mod page;
mod table;
mod words;

pub use beside::{Beside, BesideRow};
pub use json::replay_json;
#[cfg(feature = "pages")]
pub use page::replay_html;

use crate::engine::Model;
#[cfg(feature = "pages")]
use crate::report::chart::ReplayView;
use crate::report::render::fit::hang;
use crate::report::render::text::{self, Style};
use crate::study::replay::Replay;

/// Days that were replayed.
#[derive(Clone, Copy, Debug)]
pub struct Replayed<'a> {
    /// The scenario.
    pub model: &'a Model,
    /// What came of it.
    pub found: &'a Replay,
}

impl<'a> Replayed<'a> {
    /// What people call a zone, by its place.
    pub(in crate::report) fn zone(&self, place: usize) -> &'a str {
        &self.model.zones[place].label
    }

    /// How far the run as logged lies from what was measured, as a sentence.
    pub fn answer(&self) -> String {
        words::answer(self)
    }

    /// What its chart shows, with words over it.
    #[cfg(feature = "pages")]
    pub fn view<'w>(&self, title: &'w str, subtitle: &'w str) -> ReplayView<'w>
    where
        'a: 'w,
    {
        ReplayView { title, subtitle, model: self.model, found: self.found }
    }

    /// What each of the other settings would have changed, in a sentence each.
    pub fn variants(&self) -> Vec<String> {
        self.found.variants.iter().map(|it| words::variant(self, it)).collect()
    }

    /// From when to when.
    pub fn span(&self) -> String {
        let grid = &self.found.record.grid;
        format!("{} to {}", grid.from, grid.at(grid.count))
    }
}

/// For people.
pub fn replay_text(replayed: &Replayed, style: Style, files: &[String]) -> String {
    let mut out = String::new();
    text::strong(&mut out, style, &replayed.answer());
    let variants = text::list(&replayed.variants(), style);
    text::section(&mut out, style, "With other settings", &variants);
    text::section(&mut out, style, "Figures", &text::table(&table::figures(replayed), style));
    let unexplained = words::disturbance(replayed);
    text::section(
        &mut out,
        style,
        "What the model does not explain",
        &text::list(&unexplained, style),
    );
    text::section(&mut out, style, "Bear in mind", &text::list(&words::notes(replayed), style));
    out.push('\n');
    out.push_str(&hang("", words::CAUTION, style.width));
    text::files(&mut out, style, files);
    out
}
