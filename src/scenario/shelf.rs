//! The files that a scenario names, each opened once however often the scenario is read.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use crate::log::{LogFault, LogSource, SiteLog};
use crate::weather::{Almanac, Content};

/// Files that lie beside a scenario.
pub(super) trait Beside {
    /// The text of one of them.
    fn text(&self, name: &str) -> Result<Text, String>;

    /// What follows from weather files, for all models of the scenario.
    fn almanac(&self) -> &Arc<Almanac>;

    /// A log.
    fn log(&self, source: LogSource) -> Result<Arc<SiteLog>, Vec<LogFault>>;
}

/// The text of a file, and what tells it from others.
#[derive(Clone, Debug)]
pub(super) struct Text {
    pub(super) text: Arc<str>,
    pub(super) content: Content,
}

/// What has been opened: every variant and every case names the same files.
pub(super) struct Shelf<O> {
    open: O,
    almanac: Arc<Almanac>,
    texts: Mutex<BTreeMap<String, Result<Text, String>>>,
    logs: Mutex<Vec<Arc<SiteLog>>>,
    /// Name, length and checksum of the files of logs.
    log_files: Mutex<BTreeMap<String, Arc<str>>>,
}

impl<O> Shelf<O> {
    /// Nothing opened yet; `almanac` may know what follows from some files.
    pub(super) fn new(open: O, almanac: Arc<Almanac>) -> Self {
        let (texts, logs, log_files) = (Mutex::default(), Mutex::default(), Mutex::default());
        Self { open, almanac, texts, logs, log_files }
    }

    /// What tells the opened files from others: texts as they are, logs by length and checksum.
    pub(super) fn contents(&self) -> Vec<Arc<str>> {
        let texts = locked(&self.texts);
        let texts = texts.values().flatten().map(|it| Arc::clone(&it.text));
        texts.chain(locked(&self.log_files).values().cloned()).collect()
    }
}

impl<O: Fn(&str) -> Result<Vec<u8>, String>> Beside for Shelf<O> {
    fn text(&self, name: &str) -> Result<Text, String> {
        let mut texts = locked(&self.texts);
        let open = || {
            let text = weather_text((self.open)(name)?)?;
            Ok(Text { content: Content::of(&text), text: text.into() })
        };
        texts.entry(name.to_owned()).or_insert_with(open).clone()
    }

    fn almanac(&self) -> &Arc<Almanac> {
        &self.almanac
    }

    fn log(&self, source: LogSource) -> Result<Arc<SiteLog>, Vec<LogFault>> {
        let mut logs = locked(&self.logs);
        if let Some(known) = logs.iter().find(|known| known.source == source) {
            return Ok(Arc::clone(known));
        }
        let open = |name: &str| {
            let bytes = (self.open)(name)?;
            let mut sum = flate2::Crc::new();
            sum.update(&bytes);
            let tag = format!("log {name}: {} bytes, CRC-32 {:08x}", bytes.len(), sum.sum());
            locked(&self.log_files).insert(name.to_owned(), tag.into());
            Ok(bytes)
        };
        let log = Arc::new(SiteLog::read(source, open)?);
        if logs.len() == MOST_KEPT {
            logs.remove(0);
        }
        logs.push(Arc::clone(&log));
        Ok(log)
    }
}

/// So many mappings of logs are kept: that of the file and a few of its variants.
const MOST_KEPT: usize = 4;

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The text in a weather file's bytes. Places often have names in ISO 8859-1, where each byte is the
/// character of its number: so is read what is no UTF-8 and has no control characters.
///
/// # Errors
/// They are no text.
pub(super) fn weather_text(bytes: Vec<u8>) -> Result<String, String> {
    let printable = |byte: &u8| *byte >= b' ' || byte.is_ascii_whitespace();
    if std::str::from_utf8(&bytes).is_err() && bytes.iter().all(printable) {
        return Ok(bytes.into_iter().map(char::from).collect());
    }
    utf8(bytes)
}

/// The text in a file's bytes.
///
/// # Errors
/// They are no UTF-8.
pub(super) fn utf8(bytes: Vec<u8>) -> Result<String, String> {
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        format!("it is not UTF-8 text (byte {at} does not fit)")
    })
}
