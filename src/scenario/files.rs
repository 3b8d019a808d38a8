//! The files that a scenario may name, for programs that read scenarios themselves.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::load::companion_of;
use super::near::nearest;
use super::shelf::weather_text;

/// The files that a scenario may name: some held in memory, by name, and those of a folder where
/// one is given. A name in memory goes before one in the folder.
///
/// ```
/// use setband::scenario::Files;
///
/// let files = Files::from([("yard.csv", "time,temperature\n2025-01-01T01:00,4.5\n")]);
/// assert!(files.open("yard.csv").is_ok());
/// assert_eq!(
///     files.open("yard.cvs"),
///     Err("there is no such file in memory; did you mean `yard.csv`?".to_owned())
/// );
/// ```
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Files {
    texts: BTreeMap<String, String>,
    folder: Option<PathBuf>,
}

impl Files {
    /// None at all.
    pub fn none() -> Self {
        Self::default()
    }

    /// Those of a folder and below it.
    pub fn of_folder(folder: &Path) -> Self {
        Self { texts: BTreeMap::new(), folder: Some(folder.to_owned()) }
    }

    /// The same with one more in memory.
    #[must_use]
    pub fn with(mut self, name: impl Into<String>, text: impl Into<String>) -> Self {
        self.texts.insert(name.into(), text.into());
        self
    }

    /// The text of one of them.
    ///
    /// # Errors
    /// Why it cannot be had, in words.
    pub fn open(&self, name: &str) -> Result<String, String> {
        weather_text(self.bytes(name)?)
    }

    /// What is in one of them, be it text, a packed log or a workbook.
    ///
    /// # Errors
    /// Why it cannot be had, in words.
    pub fn bytes(&self, name: &str) -> Result<Vec<u8>, String> {
        if let Some(text) = self.texts.get(name) {
            return Ok(text.clone().into_bytes());
        }
        if let Some(folder) = &self.folder {
            return companion_of(folder, name);
        }
        Err(match nearest(name, self.texts.keys().map(String::as_str)) {
            Some(near) => format!("there is no such file in memory; did you mean `{near}`?"),
            None => "this scenario was read without any files beside it".to_owned(),
        })
    }
}

impl<N: Into<String>, T: Into<String>> FromIterator<(N, T)> for Files {
    fn from_iter<I: IntoIterator<Item = (N, T)>>(files: I) -> Self {
        files.into_iter().fold(Self::none(), |all, (name, text)| all.with(name, text))
    }
}

impl<N: Into<String>, T: Into<String>, const COUNT: usize> From<[(N, T); COUNT]> for Files {
    fn from(files: [(N, T); COUNT]) -> Self {
        files.into_iter().collect()
    }
}
