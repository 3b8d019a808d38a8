//! Which files of a folder are ours.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Component, Path};
use std::time::UNIX_EPOCH;

use serde::{Deserialize, Serialize};

/// The files of a folder that this program has written.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Manifest {
    pub(super) files: BTreeMap<String, Ours>,
}

/// A file of ours.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Ours {
    /// The command that wrote it last.
    pub(super) by: String,
    /// How it looked then.
    pub(super) stamp: Stamp,
}

/// How a file looks from outside: what somebody has changed since is theirs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Stamp {
    bytes: u64,
    /// Since 1970.
    modified_ns: u64,
}

impl Stamp {
    /// `None` where there is no such file.
    pub(super) fn of(path: &Path) -> Option<Self> {
        let about = fs::symlink_metadata(path).ok().filter(fs::Metadata::is_file)?;
        let since = about.modified().ok()?.duration_since(UNIX_EPOCH).ok()?;
        let modified_ns = u64::try_from(since.as_nanos()).ok()?;
        Some(Self { bytes: about.len(), modified_ns })
    }
}

impl Manifest {
    /// Reads it; what is not to be read says nothing about any file.
    pub(super) fn read(path: &Path) -> Self {
        let text = fs::read(path).unwrap_or_default();
        let mut read: Self = serde_json::from_slice(&text).unwrap_or_default();
        read.files.retain(|name, _| is_plain(name));
        read
    }

    /// The files that a command wrote before and that are not among its new ones.
    pub(super) fn stale(&self, command: &str, new: &[String]) -> BTreeMap<String, Stamp> {
        let of_command = self.files.iter().filter(|(_, ours)| ours.by == command);
        let stale = of_command.filter(|(name, _)| !new.contains(name));
        stale.map(|(name, ours)| (name.clone(), ours.stamp.clone())).collect()
    }
}

/// Whether a name is one in the folder itself, and not a way out of it.
pub(super) fn is_plain(name: &str) -> bool {
    let mut parts = Path::new(name).components();
    matches!(parts.next(), Some(Component::Normal(_))) && parts.next().is_none()
}
