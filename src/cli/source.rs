//! From a path and the common options to a model and an output folder.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use super::failure::Failure;
use super::options::{Chosen, Common};
use crate::engine::{Model, ZoneIndex};
use crate::log::SiteLog;
use crate::scenario::{STANDARD_INPUT, Study, VariantFault, load, load_beside};
use crate::study::fit::draws::{DRAWS, Draws};

/// Reads a scenario file; what is wrong with its variants stops it, too.
pub(super) fn study(file: &Path) -> Result<Study, Failure> {
    let study = load(file)?;
    match study.structural_faults() {
        Some(faults) => Err(Failure::Faults(faults.clone())),
        None => Ok(study),
    }
}

/// The model that the options choose.
pub(super) fn model(study: &Study, common: &Common) -> Result<Model, Failure> {
    let mut model = variant(study, common.chosen.variant.as_deref())?.clone();
    model.seed = common.seed.unwrap_or(model.seed);
    Ok(model)
}

/// The variant of that name, or the file as written.
pub(super) fn variant<'s>(study: &'s Study, name: Option<&str>) -> Result<&'s Model, Failure> {
    match name {
        None => Ok(&study.base),
        Some(name) => study.variant(name).map_err(|fault| no_variant(study, name, &fault)),
    }
}

fn no_variant(study: &Study, name: &str, fault: &VariantFault<'_>) -> Failure {
    match fault {
        VariantFault::Faulty(faults) => Failure::Faults((*faults).clone()),
        VariantFault::Unknown { nearest } => {
            let names: Vec<&str> = study.variants.iter().map(|(name, _)| name.as_str()).collect();
            let help = match (nearest, names.is_empty()) {
                (_, true) => "the file has no variants".to_string(),
                (Some(near), false) => {
                    format!("did you mean `{near}`? It has {}", names.join(", "))
                }
                (None, false) => format!("it has {}", names.join(", ")),
            };
            Failure::Call { what: format!("the file has no variant `{name}`"), help }
        }
    }
}

/// Where files go unless `--out` says otherwise: `out/<file stem>/`, and there a folder for each
/// variant.
pub(super) fn folder(file: &Path, chosen: &Chosen) -> PathBuf {
    folder_for(file, chosen.out.as_deref(), chosen.variant.as_deref())
}

/// The same where there are no variants to choose from.
pub(super) fn folder_for(file: &Path, out: Option<&Path>, variant: Option<&str>) -> PathBuf {
    if let Some(out) = out {
        return out.to_owned();
    }
    let folder = Path::new("out").join(stem(file));
    match variant {
        None => folder,
        Some(variant) => folder.join(variant.replace(['/', '\\'], "_")),
    }
}

/// What the files of a scenario go by: its name without the ending.
pub(super) fn stem(file: &Path) -> String {
    if file == Path::new(STANDARD_INPUT) {
        return "standard-input".into();
    }
    // The stem of `...yaml` would be the way to the folder above.
    let stem = file.file_stem().filter(|stem| *stem != ".." && *stem != ".");
    let name = stem.or(file.file_name()).unwrap_or(OsStr::new("scenario"));
    name.to_string_lossy().into_owned()
}

/// The log that a scenario names.
pub(super) fn site_log(model: &Model) -> Result<&SiteLog, Failure> {
    model.log.as_deref().ok_or_else(|| Failure::Call {
        what: "the scenario names no log".into(),
        help: "add a `log` block; `setband log LOG` writes one as a guess".into(),
    })
}

/// The zone of that name, or all of them.
pub(super) fn zones(model: &Model, name: Option<&str>) -> Result<Vec<ZoneIndex>, Failure> {
    let all = || (0..model.zones.len()).map(ZoneIndex::new);
    let Some(name) = name else { return Ok(all().collect()) };
    let found = all().find(|zone| model.zones[zone.get()].id == name);
    found.map(|zone| vec![zone]).ok_or_else(|| {
        let names: Vec<&str> = model.zones.iter().map(|zone| zone.id.as_str()).collect();
        Failure::Call {
            what: format!("the file has no zone `{name}`"),
            help: format!("it has {}", names.join(", ")),
        }
    })
}

/// The draws beside a fitted file; none where there is no such table.
pub(super) fn draws(fitted: &Path) -> Result<Option<Draws>, Failure> {
    let Some(text) = load_beside(fitted, DRAWS)? else { return Ok(None) };
    Draws::read(&text).map(Some).map_err(|no| Failure::Call {
        what: format!("{DRAWS}, line {}: {}", no.line, no.what),
        help: no.help,
    })
}

/// There is no such table.
pub(super) fn no_draws(fitted: &Path) -> Failure {
    Failure::Call {
        what: format!("there is no {DRAWS} beside {}", fitted.display()),
        help: "`setband fit` writes it beside fitted.yaml: name that file".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_has_a_folder_of_its_own_below_out() {
        let folder = |file: &str| folder_for(Path::new(file), None, None);
        assert_eq!(folder("scenarios/hall.yaml"), Path::new("out/hall"));
        assert_eq!(folder("...yaml"), Path::new("out/...yaml"));
        assert_eq!(folder("-"), Path::new("out/standard-input"));
        assert_eq!(folder_for(Path::new("a.yaml"), None, Some("b/c")), Path::new("out/a/b_c"));
    }
}
