//! The test sheet as a page to print, as a table to fill in, and as text.

mod csv;
mod json;
#[cfg(feature = "pages")]
mod page;
mod plan;
mod text;
mod unseen;
mod words;

pub use crate::study::sheet_csv::COLUMNS;
pub use csv::sheet_csv;
pub use json::sheet_json;
#[cfg(feature = "pages")]
pub use page::sheet_page;
pub use text::sheet_text;

use crate::engine::{Model, Zone, ZoneIndex};
use crate::study::sheet::{Choice, Scope, Section, Sheet, Shown};
use crate::time::Seconds;

/// A sheet with the model that it was written for.
#[derive(Clone, Copy, Debug)]
pub struct Sheeted<'a> {
    /// The model.
    pub model: &'a Model,
    /// Its sheet.
    pub sheet: &'a Sheet,
    /// How it was planned.
    pub plan: &'a SheetPlan,
}

/// How a short sheet was planned.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SheetPlan {
    /// What the sheet has of the whole test; `None` where it has all of it, or was made otherwise.
    pub scope: Option<Scope>,
    /// What was chosen for which time.
    pub choice: Option<(Seconds, Choice)>,
    /// Which sections the choice leaves out.
    pub left_out: Vec<(ZoneIndex, Section)>,
    /// How each requirement is shown, by its id.
    pub witness: Option<Vec<(String, Shown)>>,
}

impl SheetPlan {
    /// A whole sheet.
    pub const WHOLE: &'static Self =
        &Self { scope: None, choice: None, left_out: Vec::new(), witness: None };
}

impl<'a> Sheeted<'a> {
    /// A sheet that was not planned.
    pub const fn whole(model: &'a Model, sheet: &'a Sheet) -> Self {
        Self { model, sheet, plan: SheetPlan::WHOLE }
    }

    fn zone(&self, zone: ZoneIndex) -> &'a Zone {
        &self.model.zones[zone.get()]
    }

    /// What rooms are to read, each temperature with the names of its zones.
    fn rooms(&self) -> Vec<(f64, Vec<&'a str>)> {
        let mut rooms: Vec<(f64, Vec<&str>)> = Vec::new();
        for (zone, room) in self.model.zones.iter().zip(&self.sheet.rooms) {
            match rooms.iter_mut().find(|(known, _)| known == room) {
                Some((_, names)) => names.push(crate::report::run::label(zone)),
                None => rooms.push((*room, vec![crate::report::run::label(zone)])),
            }
        }
        rooms
    }
}
