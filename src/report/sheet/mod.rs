//! The test sheet as a page to print, as a table to fill in, and as text.

mod csv;
mod json;
mod page;
mod text;
mod unseen;
mod words;

pub use crate::study::sheet_csv::COLUMNS;
pub use csv::sheet_csv;
pub use json::sheet_json;
pub use page::sheet_page;
pub use text::sheet_text;

use crate::engine::{Model, Zone, ZoneIndex};
use crate::study::sheet::Sheet;

/// A sheet with the model that it was written for.
#[derive(Clone, Copy, Debug)]
pub struct Sheeted<'a> {
    /// The model.
    pub model: &'a Model,
    /// Its sheet.
    pub sheet: &'a Sheet,
}

impl<'a> Sheeted<'a> {
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
