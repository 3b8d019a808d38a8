//! What is known of savings in the field and from large simulation studies, as ranges within which
//! a plausible building of ours must lie. No calibration, and no promise.

use std::num::NonZeroUsize;
use std::sync::Mutex;
use std::sync::atomic::AtomicBool;

use setband::measures::FIGURES;
use setband::scenario::Template;
use setband::study::sweep::{About, Axis, Results, Sampling, SweepPlan, SweepRun, run};

/// An office room in a climate with four seasons.
const OFFICE: &str = "\
title: An office room
period: {from: 2025-01-15, step: 5 min}
weather:
  monthly: [[2, -5], [4, -4], [9, 0], [15, 5], [20, 10], [25, 15],
            [28, 18], [27, 17], [23, 13], [16, 7], [9, 2], [4, -3]]
zones:
  office:
    space: {floor: 100 m2, mass: medium, opaque: 120 W/K, infiltration: 0.3 /h}
    gains: {from: \"08:00\", to: \"18:00\", power: 2500 W}
    unit: {heating: 15 kW, cooling: 12 kW}
    controls:
      setpoint_step: 0.1
      heat: 21.1
      cool: 22.2
      setback: {heat: 0, cool: 0}
";

/// A house in winter, nobody there for eight hours.
const HOUSE: &str = "\
title: A house in winter
period: {from: 2025-01-15, days: 3, step: 5 min}
weather: {design_day: {high: 4, range: 6}}
zones:
  house:
    space: {floor: 120 m2, mass: light, opaque: 180 W/K, infiltration: 0.4 /h}
    unit: {heating: 30 kW}
    controls:
      heat: 21
      cool: 30
      mode: heat
      occupancy: {from: \"17:00\", to: \"09:00\"}
      setback: {heat: 0, cool: 0}
";

/// The mean over all draws of a figure, by setting.
fn swept(scenario: &str, axis: &str, varied: &[&str], draws: usize, figure: &str) -> Vec<f64> {
    let axes = |texts: &[&str]| {
        texts.iter().map(|text| Axis::parse(text).expect("an axis")).collect::<Vec<_>>()
    };
    let plan = SweepPlan {
        axes: axes(&[axis]),
        sampling: Sampling::Grid,
        varied: axes(varied),
        draws,
        seed: 1,
    };
    plan.check().expect("a plan");
    let no_files = Box::new(|_: &str| Err("no files".to_owned()));
    let template = Template::read(scenario, "room.yaml", no_files, None).expect("right");
    let about = About::of(&template.model(&[]).expect("a model"));
    let results = Mutex::new(Results::new(plan.clone(), about));
    let settings = plan.all_settings();
    let two = NonZeroUsize::new(2).expect("not zero");
    let study = SweepRun::new(&plan, &template, &settings);
    run(&study, &|_| true, two, &AtomicBool::new(false), &|case, outcome| {
        assert!(results.lock().expect("no thread failed").put(case, outcome));
    });
    let results = results.into_inner().expect("no thread failed");
    assert!(results.is_complete());
    let place = FIGURES.iter().position(|it| it.key == figure).expect("a figure");
    let mean = |setting: usize| {
        let values = results.by_draw(setting, place);
        let known: Vec<f64> = values.iter().copied().flatten().collect();
        assert_eq!(known.len(), draws, "every draw has the figure");
        known.iter().sum::<f64>() / draws as f64
    };
    (0..settings.len()).map(mean).collect()
}

/// Hoyt, Arens and Zhang (2015), Building and Environment 88, table 3.1: a band wider by 1.1 K
/// saves 13 % of the energy for heating and cooling (1 to 26 %), one wider by 2.2 K about 23 %.
#[test]
fn a_wider_band_saves_within_the_published_range() {
    // A day of every month, each as likely as any other.
    let days = "period.from=[2025-01-15, 2025-02-15, 2025-03-15, 2025-04-15, 2025-05-15, \
                2025-06-15, 2025-07-15, 2025-08-15, 2025-09-15, 2025-10-15, 2025-11-15, 2025-12-15]";
    let kwh = swept(OFFICE, "zones.*.band=[1.1, 2.2, 3.3]", &[days], 48, "total_kwh");
    let saving = |wider: usize| 100.0 * (1.0 - kwh[wider] / kwh[0]);
    assert!((1.0..=26.0).contains(&saving(1)), "{} %", saving(1));
    assert!(saving(2) > saving(1) && saving(2) < 2.0 * 26.0, "{} %", saving(2));
}

/// US Department of Energy: a setback of 7 to 10 F for eight hours a day saves up to 10 % a year,
/// about 1 % for each degree F. Where the room would settle 30 F below its setpoint, no building
/// can save more than 10 F * 8 h / (30 F * 24 h) = 11.1 % of its heat (closed cycle, derived); this
/// house loses more than that outdoors, so the bound is lower still.
#[test]
fn a_setback_of_eight_hours_saves_within_the_published_range() {
    let setback = "zones.*.controls.setback.heat=[0, 4, 5.5]";
    let kwh = swept(HOUSE, setback, &[], 1, "heating_kwh");
    let saving = |deep: usize| 100.0 * (1.0 - kwh[deep] / kwh[0]);
    assert!(saving(1) > 1.0, "{} %", saving(1));
    assert!(saving(2) > saving(1) && saving(2) <= 11.1, "{} %", saving(2));
}
