//! How the cost of a zone-step grows with zones, days, cases and people: a table, and a chart in
//! `target/growth.svg`.
//!
//! `cargo bench --profile dist --bench growth`. Each number is the least of three runs on one core, of
//! everything from the text of the scenario to the figures, with what it takes once: reading, the
//! warm-up, the sun's way.

#![allow(clippy::print_stdout, reason = "the table is what the bench is for")]

mod offices;

use std::num::NonZeroUsize;
use std::sync::atomic::AtomicBool;
use std::time::Instant;

use plotters::coord::Shift;
use plotters::prelude::*;
use plotters::style::register_font;
use setband::study::sweep::{Axis, Sampling, SweepPlan, SweepRun, run};

use offices::Offices;

/// As a file of four offices for a month has it.
const USUAL: Offices = Offices { zones: 4, grouped: false, people: 0, days: 28 };
const STEPS_A_DAY: usize = 1440;
/// Of lone zones, which are circles, and of zones of a group, which are triangles.
const COLOURS: [RGBColor; 2] = [RGBColor(0, 90, 160), RGBColor(190, 80, 0)];

/// One row of the table.
struct Row {
    of: usize,
    /// ns a zone-step: lone zones, and zones on one outdoor unit.
    ns: [f64; 2],
}

/// Time for each zone-step of a sweep with so many cases, ns.
fn cost(offices: Offices, cases: usize) -> f64 {
    let work = cases * offices.zones * offices.days * STEPS_A_DAY;
    let once = || {
        let begun = Instant::now();
        let template = offices.template();
        let values =
            format!("zones.room0.space.opaque=40..{}:0.01 W/K", 40.0 + 0.01 * cases as f64);
        let plan = SweepPlan {
            axes: vec![Axis::parse(&values).expect("values")],
            sampling: Sampling::Random(cases),
            varied: Vec::new(),
            draws: 1,
            seed: 1,
        };
        let settings = plan.all_settings();
        let study = SweepRun::new(&plan, &template, &settings);
        run(&study, &|_| true, NonZeroUsize::MIN, &AtomicBool::new(false), &|_, _| {});
        begun.elapsed().as_secs_f64() * 1e9 / work as f64
    };
    (0..3).map(|_| once()).fold(f64::INFINITY, f64::min)
}

fn table(what: &str, of: &[usize], offices: impl Fn(usize) -> (Offices, usize)) -> Vec<Row> {
    println!("\n| {what} | lone zones, ns a zone-step | zones of a group |\n| --- | --- | --- |");
    let mut rows = Vec::new();
    for &of in of {
        let ns = [false, true].map(|grouped| {
            let (offices, cases) = offices(of);
            cost(Offices { grouped, ..offices }, cases)
        });
        println!("| {of} | {:.1} | {:.1} |", ns[0], ns[1]);
        rows.push(Row { of, ns });
    }
    rows
}

fn draw(tables: &[(&str, Vec<Row>)]) -> Result<(), Box<dyn std::error::Error>> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/target/growth.svg");
    let font = register_font("sans-serif", FontStyle::Normal, dejavu::sans::regular());
    assert!(font.is_ok(), "the font in which charts are drawn");
    let area = SVGBackend::new(path, (960, 640)).into_drawing_area();
    area.fill(&WHITE)?;
    for ((what, rows), area) in tables.iter().zip(area.split_evenly((2, 2))) {
        panel(&area, what, rows)?;
    }
    area.present()?;
    println!("\n{path}");
    Ok(())
}

/// Cost against one number: circles for lone zones, triangles for those of a group.
fn panel(
    area: &DrawingArea<SVGBackend<'_>, Shift>,
    what: &str,
    rows: &[Row],
) -> Result<(), Box<dyn std::error::Error>> {
    let highest = rows.iter().flat_map(|row| row.ns).fold(0.0, f64::max);
    let mut chart = ChartBuilder::on(area)
        .margin(12)
        .caption(format!("ns a zone-step by {what}"), ("sans-serif", 18))
        .x_label_area_size(28)
        .y_label_area_size(44)
        .build_cartesian_2d(-0.3..rows.len() as f64 - 0.7, 0.0..1.1 * highest)?;
    let label = |place: &f64| {
        let is_whole = (place - place.round()).abs() < 1e-6 && *place >= 0.0;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few rows")]
        let row = is_whole.then(|| rows.get(place.round() as usize)).flatten();
        row.map_or_else(String::new, |row| row.of.to_string())
    };
    chart
        .configure_mesh()
        .disable_x_mesh()
        .x_labels(2 * rows.len())
        .x_label_formatter(&label)
        .draw()?;
    let points =
        |kind: usize| rows.iter().enumerate().map(move |(at, it)| (at as f64, it.ns[kind]));
    let round = |at| EmptyElement::at(at) + Circle::new((0, 0), 4, COLOURS[0].filled());
    let corner = |at| EmptyElement::at(at) + TriangleMarker::new((0, 0), 7, COLOURS[1].filled());
    chart.draw_series([PathElement::new(points(0).collect::<Vec<_>>(), COLOURS[0])])?;
    chart
        .draw_series(points(0).map(round))?
        .label("lone zones")
        .legend(|(x, y)| Circle::new((x + 10, y), 4, COLOURS[0].filled()));
    chart.draw_series([PathElement::new(points(1).collect::<Vec<_>>(), COLOURS[1])])?;
    chart
        .draw_series(points(1).map(corner))?
        .label("zones of a group")
        .legend(|(x, y)| TriangleMarker::new((x + 10, y), 7, COLOURS[1].filled()));
    chart.configure_series_labels().border_style(BLACK).background_style(WHITE).draw()?;
    Ok(())
}

fn main() {
    let tables = [
        (
            "zones",
            table("zones", &[1, 2, 4, 8, 16, 32, 64], |zones| (Offices { zones, ..USUAL }, 1)),
        ),
        ("days", table("days", &[1, 7, 28, 91, 366], |days| (Offices { days, ..USUAL }, 1))),
        (
            "cases of a day",
            table("cases of a day", &[1, 10, 100, 1000, 10_000], |cases| {
                (Offices { zones: 1, days: 1, ..USUAL }, cases)
            }),
        ),
        (
            "people in each zone",
            table("people in each zone", &[0, 1, 2, 4], |people| (Offices { people, ..USUAL }, 8)),
        ),
    ];
    draw(&tables).expect("drawn");
}
