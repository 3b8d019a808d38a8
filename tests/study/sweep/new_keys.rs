//! What may vary from draw to draw: any key, those of rules 15 to 18 and of the second edition of the
//! physics as well as the others.

use std::collections::BTreeSet;
use std::sync::Arc;

use setband::measures::FIGURES;
use setband::scenario::{Override, load_template};
use setband::study::{Keep, simulate};

use super::Place;

/// Two rooms on one unit and a hut with a plant of its own, with every key written that varies below.
const ROOMS: &str = "\
period: {from: 2025-04-16, step: 10 min}
weather: {design_day: {high: 18, range: 16}, site: {latitude: 48, longitude: 8.5, utc_offset: 1}, sky: clear}
outdoor_units:
  roof:
    zones: [hall, shop]
    heating: [{outdoor: 7, capacity: 9 kW, cop: 3.5}]
    cooling: [{outdoor: 35, capacity: 9 kW, cop: 3.5}]
    outdoor_limits: {heat_below: 18, cool_above: 12, hysteresis: 1}
    defrost: {below: 9, above: -10, every: 60 min, lasts: 4 min}
every_zone:
  space: {floor: 40 m2, windows: [{area: 6 m2, u: 1.4, g: 0.5, facing: south, frame: 0.2, shade: {factor: 0.4, above: 300 W/m2}}], sun_on: [{area: 12 m2, facing: up, u: 0.3, absorptance: 0.6}]}
  controls:
    heat: 20
    cool: 23
    call_start: {heating: 0.5, cooling: 0.8}
    outdoor_limits: {heat_below: 17, cool_above: 13}
    window_contact: {acts_after: 2 min, does: off}
    return_at: [\"12:00\"]
    return_to: {heat: 20, cool: 24}
    occupancy: {from: \"08:00\", to: \"18:00\"}
    setback: {heat: 2, cool: 2, override_until: change}
zones:
  hall: {unit: {heating: 4 kW, cooling: 4 kW, control: staged, stages: [0.5, 1], stage_step: 0.6}}
  shop: {unit: {heating: 4 kW, cooling: 4 kW, integral_time: 20 min, reach_lowest: 10 min}}
  hut: {unit: {heating: 4 kW, cooling: 4 kW, reversal_time: 3 min}}
actions:
  - {at: \"10:00\", zone: hall, window: open}
  - {at: \"10:40\", zone: hall, window: closed}
  - {at: \"11:00\", zone: shop, press: warmer, times: 3}
";

/// What varies, each in its range.
const VARIED: [&str; 22] = [
    "every_zone.controls.heat=19..21",
    "zones.*.controls.call_start.cooling=0.3..1.2",
    "zones.*.controls.outdoor_limits.heat_below=12..20",
    "zones.hut.controls.outdoor_limits.cool_above=8..16",
    "zones.hut.controls.outdoor_limits.hysteresis=0..3",
    "outdoor_units.roof.outdoor_limits.heat_below=14..20",
    "outdoor_units.roof.outdoor_limits.cool_above=10..14",
    "outdoor_units.roof.defrost.lasts=2..8 min",
    "zones.*.controls.window_contact.acts_after=1..20 min",
    "zones.*.controls.window_contact.does=[off, setback, nothing]",
    "zones.*.space.open_window=2..8 /h",
    "zones.*.controls.setback.override_until=[time, change, end_of_day]",
    "zones.*.controls.return_to.heat=19..21",
    "zones.hall.unit.stage_step=0.3..1",
    "zones.shop.unit.integral_time=10..40 min",
    "zones.shop.unit.reach_lowest=0..20 min",
    "zones.hut.unit.reversal_time=0..6 min",
    "zones.*.unit.coil=7..13",
    "zones.*.space.windows[0].frame=0.1..0.4",
    "zones.*.space.windows[0].shade.factor=0.1..0.9",
    "every_zone.space.sun_on[0].absorptance=0.2..0.9",
    "weather.sky=[clear, [isotropic, clear]]",
];

#[test]
fn every_new_key_may_vary_and_each_draw_is_the_run_of_its_values() {
    let place = Place::new(ROOMS);
    let vary = VARIED.iter().flat_map(|it| ["--vary", it]);
    let call: Vec<&str> =
        ["--draws", "6", "--out", "o", "--quiet"].into_iter().chain(vary).collect();
    place.sweep(&call);
    let rows = place.table("o/cases.csv");
    assert_eq!(rows.len(), 6);
    let paths = VARIED.map(|it| it.split('=').next().expect("a path"));
    for path in paths {
        let values: BTreeSet<&String> = rows.iter().map(|row| &row[path]).collect();
        assert!(values.len() > 1, "{path} does not vary: {values:?}");
    }
    let template = load_template(&place.path("hall.yaml"), None, &Arc::default()).expect("right");
    let mut kwh = BTreeSet::new();
    for row in &rows {
        assert_eq!(row["fault"], "", "{row:?}");
        let changes = paths.map(|path| Override::new(path, &row[path]).expect("a value"));
        let mut model = template.model(&changes).unwrap_or_else(|fault| panic!("{fault}"));
        model.seed = row["seed"].parse().expect("a seed");
        let summary = simulate(&model, Keep::Nothing).summary;
        for figure in FIGURES {
            let expected = figure.of(&summary).map_or(String::new(), |it| (it + 0.0).to_string());
            assert_eq!(row[figure.key], expected, "{} at {row:?}", figure.key);
        }
        kwh.insert(row["total_kwh"].clone());
    }
    assert_eq!(kwh.len(), 6, "{kwh:?}");
}
