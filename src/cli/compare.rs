//! `setband compare`: several settings side by side.

use std::path::{Path, PathBuf};

use super::args::{Charts, CompareArguments};
use super::failure::{Failure, possible};
use super::files::Folder;
use super::{CommandOutput, source, terminal};
use crate::engine::Model;
use crate::report::{self, chart};
use crate::scenario::{Faults, load};
use crate::study::{Comparison, compare_files, compare_variants, default_threads, knee};

type Named = (String, Result<Model, Faults>);

pub(super) fn compare(arguments: &CompareArguments) -> Result<CommandOutput, Failure> {
    let Some((first, rest)) = arguments.files.split_first() else {
        return Err(Failure::Call { what: "no file is given".into(), help: "name one".into() });
    };
    let study = source::study(first)?;
    let mut base = study.base;
    base.seed = arguments.seed.unwrap_or(base.seed);
    let others = if rest.is_empty() {
        chosen(study.variants, &arguments.variant)?
    } else {
        others(&base, first, rest)?
    };
    let folder = Folder::prepare(folder(first, arguments.out.as_ref()), "compare")?;
    let threads = arguments.threads.unwrap_or_else(default_threads);
    let knee = (arguments.charts == Charts::All).then(|| knee(&base, threads));
    let comparison = if rest.is_empty() {
        compare_variants(base, others, threads)
    } else {
        compare_files((source::stem(first), base), others, threads)
    };
    for contender in comparison.all() {
        possible(contender.finished.halt, &contender.model)?;
    }
    let comparison = Comparison { knee, ..comparison };
    let files = write(folder, &comparison)?;
    Ok(CommandOutput::with(printed(arguments, &comparison, &files)?))
}

fn printed(
    arguments: &CompareArguments,
    comparison: &Comparison,
    files: &[String],
) -> Result<String, Failure> {
    let for_machines = arguments.json || arguments.csv || arguments.quiet;
    for one in comparison.left_out.iter().filter(|_| for_machines) {
        terminal::print_error(&format!("{} is left out:\n{}", one.name, one.faults));
    }
    if arguments.json {
        Ok(report::comparison_json(comparison)?)
    } else if arguments.csv {
        let csv = report::comparison_csv(comparison).map_err(formed)?;
        Ok(String::from_utf8_lossy(&csv).into_owned())
    } else if arguments.quiet {
        Ok(String::new())
    } else {
        Ok(report::comparison_text(comparison, terminal::style(), files))
    }
}

fn write(mut folder: Folder, comparison: &Comparison) -> Result<Vec<String>, Failure> {
    folder.add("compare.json", report::comparison_json(comparison)?.as_bytes())?;
    folder.add("compare.csv", &report::comparison_csv(comparison).map_err(formed)?)?;
    folder.add("compare.xlsx", &report::comparison_workbook(comparison).map_err(formed)?)?;
    if let Some(knee) = &comparison.knee {
        let charts = [
            ("overlay", chart::overlay_svg(comparison, chart::USUAL_WIDTH)),
            ("multiples", chart::multiples_svg(comparison, chart::USUAL_WIDTH)),
            ("differences", chart::differences_svg(comparison, chart::USUAL_WIDTH)),
            ("knee", chart::knee_svg(&comparison.base.model, knee, chart::USUAL_WIDTH)),
        ];
        for (name, svg) in charts {
            let svg = svg.map_err(formed)?;
            folder.add(&format!("{name}.svg"), svg.as_bytes())?;
            folder.add(&format!("{name}.png"), &chart::png(&svg).map_err(formed)?)?;
        }
    }
    let page = report::comparison_html(comparison).map_err(formed)?;
    folder.add("compare.html", page.as_bytes())?;
    folder.finish()
}

fn formed(error: impl std::fmt::Display) -> Failure {
    Failure::Form(error.to_string())
}

/// The variants of a file, or those that the call names.
fn chosen(variants: Vec<Named>, names: &[String]) -> Result<Vec<Named>, Failure> {
    if variants.is_empty() {
        return Err(Failure::Call {
            what: "the file has no variants to compare".into(),
            help: "add some, as in `variants: {wide: {zones.*.controls.min_deadband: 4}}`, or \
                   name a second file"
                .into(),
        });
    }
    let known: Vec<&str> = variants.iter().map(|(name, _)| name.as_str()).collect();
    if let Some(name) = names.iter().find(|name| !known.contains(&name.as_str())) {
        return Err(Failure::Call {
            what: format!("the file has no variant `{name}`"),
            help: format!("it has {}", known.join(", ")),
        });
    }
    let wanted = |name: &String| names.is_empty() || names.contains(name);
    Ok(variants.into_iter().filter(|(name, _)| wanted(name)).collect())
}

/// The files beside the first, as they are written. One with faults does not stop the others; one
/// of other days, or in another unit, cannot be compared at all.
fn others(base: &Model, first: &Path, rest: &[PathBuf]) -> Result<Vec<Named>, Failure> {
    let mut all: Vec<Named> = Vec::new();
    for file in rest {
        let model = load(file).map(|study| study.base);
        if let Ok(model) = &model {
            let cannot = |what: String, help: &str| Failure::Call { what, help: help.into() };
            let (name, base_name) = (file.display(), first.display());
            if model.period != base.period {
                let what = format!("{name} simulates other days or steps than {base_name}");
                return Err(cannot(what, "give all files the same `period`"));
            }
            if model.unit != base.unit {
                let what = format!("{name} is in another temperature unit than {base_name}");
                return Err(cannot(what, "give all files the same `temperature`"));
            }
        }
        let name = apart(&source::stem(file), |name| {
            name == source::stem(first) || all.iter().any(|(other, _)| other == name)
        });
        all.push((name, model));
    }
    Ok(all)
}

/// A name, with a number where it is taken.
fn apart(plain: &str, taken: impl Fn(&str) -> bool) -> String {
    let mut name = plain.to_owned();
    let mut count = 1;
    while taken(&name) {
        count += 1;
        name = format!("{plain}-{count}");
    }
    name
}

fn folder(first: &Path, out: Option<&PathBuf>) -> PathBuf {
    out.cloned().unwrap_or_else(|| Path::new("out").join(source::stem(first)))
}
