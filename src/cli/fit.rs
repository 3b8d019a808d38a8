//! `setband fit`: a zone's own keys from its log.

use std::path::{Component, Path, PathBuf};

use clap::Args;
use serde_json::Value;

use super::failure::Failure;
use super::files::Folder;
use super::options::{Chosen, Print};
use super::{CommandOutput, source, terminal};
use crate::report::chart::{self, ChartFault};
use crate::report::{self, Fitted};
use crate::scenario::{Edit, content, load_text};
use crate::study::fit::{
    Freed, Options, ZoneFit, draws_together, fit_zones, in_place, logged_zones,
};
use crate::time::Seconds;
use crate::units::{Dimension, parse_quantity};

/// Arguments of `fit`.
#[derive(Args, Debug)]
#[command(
    after_help = "Examples:\n  setband fit site.yaml\n  setband fit site.yaml --zone parlour \
                        --free loss,mass,gains --hold-out \"2 days\" --json\n\nEach number comes with an \
                        interval of 95 % from its profile likelihood. What the log does not tell stays \
                        as the file has it, with the reason and with what would tell it.\n\nFiles: \
                        fitted.yaml (the scenario with what was fitted in its place), fit.json, draws.csv"
)]
pub(super) struct FitArguments {
    /// The scenario file, with a `log` block
    pub(super) file: PathBuf,
    /// Which zone; all that the log has without it
    #[arg(long, value_name = "ZONE")]
    pub(super) zone: Option<String>,
    /// What is fitted: loss, air, mass, coupling, gains, sun, stages, power, thresholds; all that the
    /// log can tell without it
    #[arg(long, value_name = "WHAT", value_delimiter = ',')]
    pub(super) free: Vec<FreedArgument>,
    /// Length of the free runs that are held against persistence, h
    #[arg(long, value_name = "HOURS", default_value = "6", value_parser = ["1", "6", "24"])]
    pub(super) horizon: String,
    /// Hold out so much at the end: `1 day`, `36 h`, or a number of hours [default: a fifth of the log]
    #[arg(long, value_name = "TIME", value_parser = hold_out)]
    pub(super) hold_out: Option<Seconds>,
    /// How many draws are written
    #[arg(long, value_name = "N", default_value_t = 200, value_parser = clap::value_parser!(u32).range(1..=10_000))]
    pub(super) draws: u32,
    #[command(flatten)]
    pub(super) chosen: Chosen,
    #[command(flatten)]
    pub(super) print: Print,
}

/// Something that may be fitted.
#[derive(Clone, Copy, Debug)]
pub(super) struct FreedArgument(Freed);

impl std::str::FromStr for FreedArgument {
    type Err = String;

    fn from_str(name: &str) -> Result<Self, String> {
        let names: Vec<&str> = Freed::ALL.iter().map(|it| it.0).collect();
        Freed::of(name.trim())
            .map(Self)
            .ok_or_else(|| format!("`{name}` is none of {}", names.join(", ")))
    }
}

/// A length of time, in days, too, or a number of hours.
#[expect(clippy::cast_possible_truncation, reason = "a year of seconds at most")]
fn hold_out(text: &str) -> Result<Seconds, String> {
    let wrong = || format!("`{text}` is no time; write for example \"1 day\", \"36 h\" or 36");
    let text = text.trim();
    let number = |text: &str| text.trim().parse::<f64>().ok();
    let in_days = text.strip_suffix("days").or_else(|| text.strip_suffix("day"));
    let seconds = match (in_days, number(text)) {
        (Some(days), _) => number(days).ok_or_else(wrong)? * 86_400.0,
        (None, Some(hours)) => hours * 3600.0,
        (None, None) => parse_quantity(text, Dimension::Duration).map_err(|_| wrong())?,
    };
    if !(0.0..=366.0 * 86_400.0).contains(&seconds) {
        return Err(format!("`{text}` is not between nothing and 366 days"));
    }
    Ok(Seconds::new(seconds.round() as i64))
}

pub(super) fn fit(arguments: &FitArguments) -> Result<CommandOutput, Failure> {
    let study = source::study(&arguments.file)?;
    let model = source::variant(&study, arguments.chosen.variant.as_deref())?;
    let site = source::site_log(model)?;
    let wanted = match arguments.zone.as_deref() {
        Some(name) => source::zones(model, Some(name))?,
        None => logged_zones(model, site),
    };
    let options = Options {
        free: arguments.free.iter().map(|it| it.0).collect(),
        horizon: arguments.horizon.parse().unwrap_or(6),
        hold_out: arguments.hold_out,
        draws: usize::try_from(arguments.draws).unwrap_or(usize::MAX),
        seed: model.seed,
    };
    let fitted = fit_zones(model, site, &wanted, &options, &mut |_, _| true);
    let (zones, left_out) = fitted.unwrap_or_default();
    if zones.is_empty() {
        let why: Vec<String> = left_out.iter().map(report::why_not).collect();
        return Err(Failure::Call {
            what: format!("no zone could be fitted: {}", why.join("; ")),
            help: "`setband log FILE` says what the log holds".into(),
        });
    }
    let fitted = Fitted { model, zones: &zones, left_out: &left_out };
    let json = report::fit_json(&fitted)?;
    let files = write(arguments, &fitted, &json)?;
    Ok(CommandOutput::with(match (arguments.print.json, arguments.print.quiet) {
        (true, _) => json,
        (false, true) => String::new(),
        (false, false) => report::fit_text(&fitted, terminal::style(), &files),
    }))
}

fn write(arguments: &FitArguments, fitted: &Fitted, json: &str) -> Result<Vec<String>, Failure> {
    let out = source::folder(&arguments.file, &arguments.chosen);
    let text = load_text(&arguments.file)?;
    let mut folder = Folder::prepare(out.clone(), "fit")?;
    folder.add("fitted.yaml", in_folder(&text, fitted.zones, &arguments.file, &out)?.as_bytes())?;
    folder.add("fit.json", json.as_bytes())?;
    folder.add("draws.csv", draws_together(&text, fitted.zones).write().as_bytes())?;
    let formed = |error: ChartFault| Failure::Form(error.to_string());
    for zone in fitted.zones {
        // One zone has the plain names.
        let of = |name: &str| match fitted.zones {
            [_] => name.to_owned(),
            _ => format!("{name}-{}", zone.id),
        };
        let svg = fitted.chart(zone, chart::USUAL_WIDTH).map_err(formed)?;
        folder.add(&format!("{}.svg", of("fit")), svg.as_bytes())?;
        folder.add(&format!("{}.png", of("fit")), &chart::png(&svg).map_err(formed)?)?;
        if let Some(svg) = fitted.profiles(zone, chart::USUAL_WIDTH).map_err(formed)? {
            folder.add(&format!("{}.svg", of("profiles")), svg.as_bytes())?;
            folder.add(&format!("{}.png", of("profiles")), &chart::png(&svg).map_err(formed)?)?;
        }
    }
    let page = report::fit_html(fitted).map_err(formed)?;
    folder.add("fit.html", page.as_bytes())?;
    folder.finish()
}

/// The scenario with what was fitted in its place; the files that it names are named from its folder.
fn in_folder(text: &str, zones: &[ZoneFit], file: &Path, out: &Path) -> Result<String, Failure> {
    let refused = |fault: crate::scenario::EditFault| Failure::Call {
        what: format!("the fitted values cannot be written into the file: {fault}"),
        help: "write the place out in the file, without anchors, and fit again".into(),
    };
    let fitted = in_place(text, zones).map_err(refused)?;
    let way = way(out, file.parent().unwrap_or(Path::new("")));
    crate::scenario::edit(&fitted, &companions(text, &way)).map_err(refused)
}

/// The files that a scenario names, as they are named from another folder.
fn companions(text: &str, way: &Path) -> Vec<Edit> {
    let content = content(text).unwrap_or(Value::Null);
    let from_there = |name: &str| {
        let path = way.join(name);
        Value::from(path.to_string_lossy().replace('\\', "/"))
    };
    let mut edits = Vec::new();
    for block in ["log", "weather"] {
        let value = match content.get(block).and_then(|it| it.get("file")) {
            Some(Value::String(name)) => from_there(name),
            Some(Value::Array(names)) => {
                names.iter().filter_map(Value::as_str).map(from_there).collect()
            }
            _ => continue,
        };
        edits.push(Edit { path: format!("{block}.file"), value });
    }
    edits
}

/// The way from one folder to another.
fn way(from: &Path, to: &Path) -> PathBuf {
    let whole = |path: &Path| {
        let path = if path.as_os_str().is_empty() { Path::new(".") } else { path };
        std::path::absolute(path).unwrap_or_else(|_| path.to_owned())
    };
    let (from, to) = (whole(from), whole(to));
    let parts = |path: &Path| -> Vec<std::ffi::OsString> {
        let named = path.components().filter(|it| *it != Component::CurDir);
        named.map(|it| it.as_os_str().to_owned()).collect()
    };
    let (from, to) = (parts(&from), parts(&to));
    let same = from.iter().zip(&to).take_while(|(one, other)| one == other).count();
    if same == 0 {
        return to.iter().collect();
    }
    let up = from[same..].iter().map(|_| "..".into());
    up.chain(to[same..].iter().cloned()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_to_hold_out_is_read_in_days_hours_or_as_a_number() {
        let day = Ok(Seconds::hours(24));
        assert_eq!(hold_out("1 day"), day);
        assert_eq!(hold_out("24 h"), day);
        assert_eq!(hold_out("24"), day);
        assert_eq!(hold_out("2 days"), Ok(Seconds::hours(48)));
        assert_eq!(hold_out("0"), Ok(Seconds::new(0)));
        for wrong in ["", "day", "one day", "-1", "500 days", "5 kW"] {
            assert!(hold_out(wrong).is_err(), "{wrong}");
        }
    }
}
