//! The shipped scenarios, found and read.

use std::fs;
use std::path::{Path, PathBuf};

use setband::engine::Model;
use setband::scenario::{Study, load};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios")
}

/// The names of all shipped scenarios, sorted.
pub(crate) fn stems() -> Vec<String> {
    let entries = fs::read_dir(folder()).expect("the scenarios are there");
    let paths = entries.map(|entry| entry.expect("the folder can be read").path());
    let yaml = paths.filter(|path| path.extension().is_some_and(|it| it == "yaml"));
    let mut stems: Vec<String> = yaml
        .map(|path| path.file_stem().expect("it has a name").to_string_lossy().into_owned())
        .collect();
    stems.sort();
    stems
}

/// A shipped scenario, read.
pub(crate) fn study(stem: &str) -> Study {
    load(&folder().join(format!("{stem}.yaml"))).unwrap_or_else(|faults| panic!("{faults}"))
}

/// The model of a variant, or of the file as written.
pub(crate) fn model(study: &Study, variant: Option<&str>) -> Model {
    match variant {
        None => study.base.clone(),
        Some(name) => study.variant(name).expect("the variant is right").clone(),
    }
}
