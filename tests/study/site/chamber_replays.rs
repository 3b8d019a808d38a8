//! Days of a real heat pump in climate chambers (`tests/data/chamber`, MIT licence, see its README)
//! replayed: the same place, weather and building under three ways of moving the setpoints, so that a
//! replay of one day with the setpoints of another can be held against what was then measured.
//! The room is fitted to the day with fixed setpoints alone.

use std::fmt::Write as _;
use std::fs;
use std::num::NonZeroUsize;
use std::path::Path;

use setband::engine::{Model, ZoneIndex};
use setband::scenario::{Override, Template};
use setband::study::fit::draws::Draws;
use setband::study::fit::{Options, fit_zone};
use setband::study::replay::{Asked, Days, Record, Replay, Requests, replay};

/// What somebody knows who has seen the name plate and the floor (200 m2, assumed: the data set's files do
/// not have it). Room, stages, power and thresholds are left to the fit.
fn office(place: &str, way: &str) -> Template {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data/chamber")
        .join(format!("{place}_{way}_default.csv.gz"));
    let bytes = fs::read(path).expect("it is there");
    let text = "temperature: F\nlog: {file: day.csv.gz, time: {column: date_time, format: \"%m/%d %H:%M:%S\", \
                year: 2021}, outdoor: oa_temp_sim, electricity: [id_power, od_power], zones: {office: \
                {temperature: zn_temp_sim, heat: zn_temp_hspt, cool: zn_temp_cspt, output: {column: stg, full: \
                2}, running: {column: stg, values: {0: none, 1: cooling, 2: cooling}}}}}\nzones:\n  office: \
                {space: {floor: 200 m2}, unit: {cooling: 7.6 kW, control: staged, stages: [0.67, 1], min_off: 0 \
                min}, controls: {sensor: {lag: 0 min}, heat: 68, cool: 78}}\n";
    let open = Box::new(move |_: &str| Ok(bytes.clone()));
    Template::read_beside(text, "office.yaml", open, None).expect("a file")
}

fn own(template: &Template, changes: &[Override]) -> Model {
    template.model(changes).unwrap_or_else(|it| panic!("{it}"))
}

/// An office as it was fitted: changes of the file, and draws of them.
struct Fitted {
    place: &'static str,
    changes: Vec<Override>,
    draws: Draws,
}

impl Fitted {
    fn of(place: &'static str) -> Self {
        let model = own(&office(place, "eff"), &[]);
        let site = model.log.clone().expect("it has a log");
        // The lag of no sensor: the zone is computed.
        let free = setband::study::fit::Freed::ALL.iter().filter(|it| it.0 != "lag");
        let options = Options {
            free: free.map(|it| it.1).collect(),
            hold_out: Some(setband::time::Seconds::new(0)),
            draws: 24,
            ..Options::default()
        };
        let fit = fit_zone(&model, &site, ZoneIndex::new(0), &options).expect("it can be fitted");
        let change = |path: &str, value: &str| Override::new(path, value).expect("a value");
        let changes =
            fit.changes.iter().map(|it| change(&it.path, &it.value.to_string())).collect();
        assert_eq!(fit.draws.rows.len(), 24);
        Self { place, changes, draws: fit.draws }
    }

    /// The days of a way of moving setpoints, with the room and unit of this fit.
    fn replayed(&self, way: &str, requests: Requests, draws: usize) -> Replay {
        let template = office(self.place, way);
        let days =
            |changes: &[Override]| Days { logged: own(&template, changes), variants: Vec::new() };
        let draw = |number: usize| {
            let mut changes = self.changes.clone();
            changes.extend(self.draws.changes(number)?);
            Ok(days(&changes))
        };
        let asked = Asked { requests, ..Asked::default() };
        replay(&days(&self.changes), (draws, &draw), &asked, NonZeroUsize::MIN)
            .unwrap_or_else(|it| panic!("{it}"))
    }

    fn measured(&self, way: &str) -> f64 {
        let model = own(&office(self.place, way), &[]);
        let site = model.log.clone().expect("it has a log");
        let record = Record::of(&model, &site).expect("it has the office");
        record.electric.iter().flatten().sum::<f64>() / 60.0 / 1000.0
    }
}

/// Mean and greatest of sizes.
fn sizes(errors: &[f64]) -> (f64, f64) {
    let sizes = errors.iter().map(|it| it.abs());
    (sizes.clone().sum::<f64>() / errors.len() as f64, sizes.fold(0.0, f64::max))
}

/// With the setpoints of its own log each day comes again; the day with fixed setpoints, given those of
/// another day alone, uses what was measured then, and the measured change lies in the interval told.
#[test]
fn a_room_fitted_to_one_day_foretells_two_others() {
    let (mut again, mut other, mut off, mut held) = (Vec::new(), Vec::new(), Vec::new(), 0);
    let mut words = String::new();
    for place in ["atlanta", "buffalo"] {
        let fitted = Fitted::of(place);
        let before = fitted.measured("eff");
        for way in ["shed", "shift"] {
            let measured = fitted.measured(way);
            let found = fitted.replayed(way, Requests::Own, 0);
            let run = found.as_logged.figures.electricity_kwh.expect("it has some");
            again.push(run / measured - 1.0);
            // In kelvins; the file is in Fahrenheit.
            let rmse = found.as_logged.rmse / 1.8;
            let model = own(&office(place, way), &[]);
            let found = fitted.replayed("eff", Requests::Other(Box::new(model)), 24);
            let variant = &found.variants[0];
            let run = variant.figures.electricity_kwh.expect("it has some");
            other.push(run / measured - 1.0);
            let change = variant.difference.electricity_kwh;
            let (low, high) = change.interval.expect("there are draws");
            held += u32::from((low..=high).contains(&(measured - before)));
            let _ = writeln!(
                words,
                "{place} {way}: {rmse:.3} K, {:.3}, {:.3}; {:.2} in {low:.2} to {high:.2}, measured {:.2}",
                again[again.len() - 1],
                other[other.len() - 1],
                change.value,
                measured - before
            );
            off.push(rmse);
        }
    }
    let ((mean, worst), (mean_other, worst_other)) = (sizes(&again), sizes(&other));
    assert!(off.iter().all(|rmse| *rmse < RMSE), "{words}");
    assert!(mean < 0.03 && worst < 0.07, "{words}");
    assert!(mean_other < 0.04 && worst_other < 0.08, "{words}");
    assert!(held >= 3, "{words}");
}

/// How far a day as logged may be off, K.
const RMSE: f64 = 0.19;
