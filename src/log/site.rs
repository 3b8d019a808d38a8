//! A log with what the scenario says about it.

use super::fault::LogFault;
use super::mapping::Mapping;
use super::read::{Log, read};
use super::table::Table;

/// Where a log stands and what its points are.
#[derive(Clone, Debug, PartialEq)]
pub struct LogSource {
    /// Its files, in the order of time.
    pub files: Vec<String>,
    /// The sheet of workbooks; the first without a name.
    pub sheet: Option<String>,
    /// What its points are.
    pub mapping: Mapping,
}

/// A log with what the scenario says about it.
#[derive(Clone, Debug)]
pub struct SiteLog {
    /// Where it stands and what its points are.
    pub source: LogSource,
    /// What was recorded.
    pub log: Log,
}

impl SiteLog {
    /// Reads a log's files, which `open` opens by name.
    ///
    /// # Errors
    /// What stands in the way, file by file.
    pub fn read(
        source: LogSource,
        open: impl Fn(&str) -> Result<Vec<u8>, String>,
    ) -> Result<Self, Vec<LogFault>> {
        let mut tables = Vec::new();
        let mut faults = Vec::new();
        for (place, name) in source.files.iter().enumerate() {
            match open(name) {
                Err(why) => faults.push(LogFault::Unopened(place, why)),
                Ok(bytes) => match Table::open(&bytes, source.sheet.as_deref()) {
                    Err(fault) => faults.push(LogFault::Table(place, fault)),
                    Ok(table) => tables.push(table),
                },
            }
        }
        if !faults.is_empty() {
            return Err(faults);
        }
        let log = read(&tables, &source.mapping).map_err(|fault| vec![fault])?;
        if log.zones.iter().all(|zone| zone.temperature.is_empty()) {
            return Err(vec![LogFault::Nothing]);
        }
        Ok(Self { source, log })
    }
}
