//! Bounds against runs: random ones never pass them, what the method could forget is noticed, and
//! where there is a closed form they are it.

mod agreement;
mod cases;

use super::{
    End, Found, Limits, Neglect, Question, Reached, Refusal, Source, bound, bound_but, find,
    find_in,
};
use crate::building::{HeatGains, Network, ZonePropagator};
use crate::control::{ControllerIndex, Role};
use crate::engine::{Action, Doing, Model, StepRow, ZoneIndex, run};
use crate::scenario;
use crate::study::EachRow;
use crate::time::{Instant, Seconds};
use approx::assert_abs_diff_eq;
use cases::Case;

fn no_files(_: &str) -> Result<Vec<u8>, String> {
    Err("no files".into())
}

pub(super) fn model_of(text: &str) -> Model {
    match scenario::read_beside(text, "case.yaml", &no_files) {
        Ok(study) => study.base,
        Err(faults) => panic!("{text}\n{faults}"),
    }
}

/// How far a run passes the bounds, at worst, K: below nothing where it keeps them.
fn passes_by(model: &Model, reached: &[Reached]) -> f64 {
    let mut worst = f64::NEG_INFINITY;
    run(
        model,
        &mut EachRow(|row: &StepRow| {
            let step = usize::try_from(row.at.get() / model.period.step().get()).expect("in time");
            let zone = &reached[row.zone.get()];
            let air = model.unit.to_celsius(row.temperature);
            worst = worst.max(zone.least[step] - air).max(air - zone.most[step]);
        }),
    );
    worst
}

/// Runs by the thousand are made by `cargo test --test hostile worst`. These are seeds with coarse
/// steps, which are soon bounded.
#[test]
fn random_runs_never_pass_the_bounds() {
    let coarse = (0..60).map(Case::new).filter(|it| it.text.contains("step: 300 s"));
    let mut tried = 0;
    for case in coarse.take(5) {
        let mut model = model_of(&case.text);
        let question = case.question(&model);
        let reached = bound(&model, &question).unwrap_or_else(|it| panic!("{it}\n{}", case.text));
        case.fail(&mut model);
        let by = passes_by(&model, &reached);
        assert!(by <= 1e-9, "the run passes by {by} K:\n{}", case.text);
        tried += 1;
    }
    assert_eq!(tried, 5);
}

const NIGHT: Limits = Limits { coldest: -10.0, hottest: 12.0 };

fn within(limits: Limits, hours: i64) -> Question {
    Question { limits, lasts: Seconds::hours(hours), any_window: false, outage: None, from: None }
}

/// A workshop with these lines of its unit and its controls.
fn workshop(unit: &str, controls: &str) -> String {
    format!(
        "period: {{from: 2025-01-14, days: 1, step: 120 s}}
weather: {{hours: [-10, -10, -10, -10, -10, -10, 0, 4, 8, 10, 12, 12, 12, 12, 10, 8, 4, 0, -4, -8, -10, -10, -10, -10]}}
zones:
  shop:
    space: {{floor: 60 m2, mass: light, opaque: 50 W/K, infiltration: 0.6 /h}}
    gains: {{from: \"08:00\", to: \"17:00\", power: 900 W}}
    unit: {{{unit}}}
    controls: {{heat: 20, cool: 25, min_deadband: 2, limits: {{heat: [16, 22], cool: [23, 28]}}, {controls}}}
"
    )
}

const ALL_LOCKED: &str = "mode: heat, sensor: {lag: 0 min}, controllers: [{id: door, primary: true, \
                          key_locks: {keys: [power, mode, setpoint], in_force: true}}]";
const STAGED: &str = "heating: 9 kW, cooling: 7 kW, control: staged, cycling_time_constant: 1 s, \
                      min_off: 0 min, reversal_time: 0 min";

fn found(text: &str, model: &Model, question: &Question, end: End) -> Vec<Found> {
    let source = Source { text, name: "case.yaml", variant: None, open: &no_files };
    let reached = bound(model, question).expect("bounded");
    find(&source, model, question, &reached, end)
        .into_iter()
        .map(|it| it.expect("written"))
        .collect()
}

/// The lowest bound of each zone, with the worst found.
fn lowest(text: &str, question: &Question) -> Vec<(f64, Found)> {
    let model = model_of(text);
    let reached = bound(&model, question).expect("bounded");
    let found = found(text, &model, question, End::Lowest);
    reached.iter().map(|it| it.lowest().0).zip(found).collect()
}

/// Derived: with the power off the air decays freely, which the propagator of the room gives.
#[test]
fn with_the_power_off_the_bound_is_the_free_decay() {
    let text = workshop("heating: 9 kW, modes: [heat, fan], control: staged", "mode: heat");
    let model = model_of(&text);
    let question = Question { from: Some(20.0), ..within(NIGHT, 24) };
    let reached = bound(&model, &question).expect("bounded");
    let network = Network::new(&model.zones[0].space, false);
    let step = ZonePropagator::new(&network, model.period.step());
    let flows = network.flows(-10.0, HeatGains::default()).with_plant(0.0);
    let mut nodes = [20.0; 2];
    for bound in &reached[0].least {
        assert_abs_diff_eq!(*bound, nodes[0], epsilon = 1e-4);
        assert!(*bound <= nodes[0]);
        nodes = step.advance(nodes, flows);
    }
    let (_, found) = lowest(&text, &question).remove(0);
    assert_abs_diff_eq!(found.air, reached[0].least[719], epsilon = 1e-3);
    assert_eq!(found.presses.len(), 1, "power off is all: {:?}", found.presses);
}

/// Derived: locked, with ample capacity and a sensor without lag, a call starts at the first reading
/// at or below the setpoint less the hysteresis, so the air falls below that by one step at most.
#[test]
fn locked_with_ample_capacity_it_is_the_setpoint_less_hysteresis_less_one_step() {
    let text = workshop(STAGED, ALL_LOCKED);
    let model = model_of(&text);
    let (bound, found) = lowest(&text, &within(NIGHT, 24)).remove(0);
    let network = Network::new(&model.zones[0].space, false);
    let step = ZonePropagator::new(&network, model.period.step());
    let flows = network.flows(-10.0, HeatGains::default()).with_plant(0.0);
    // The mass under air that never leaves 19 to 20 C lies between what each of them keeps it at.
    let mass_at = |air: f64| {
        let mut mass = air;
        for _ in 0..20_000 {
            mass = step.advance([air, mass], flows)[1];
        }
        mass
    };
    let one_step = |mass: f64| step.advance([19.5, mass], flows)[0];
    assert!(bound >= one_step(mass_at(18.5)) - 0.01, "{bound}");
    assert!(bound <= one_step(mass_at(20.0)) + 0.01, "{bound}");
    assert!(found.air >= bound && found.air - bound < 0.5, "{} {bound}", found.air);
}

/// Derived: left to itself with its gains at any time, a room with nothing to cool it becomes no
/// warmer than where gains and hottest outdoor air balance.
#[test]
fn left_to_itself_a_room_is_no_warmer_than_its_balance() {
    let text = workshop("heating: 500 W, modes: [heat, fan], control: staged", "mode: heat");
    let model = model_of(&text);
    let reached = bound(&model, &within(NIGHT, 1)).expect("bounded");
    let network = Network::new(&model.zones[0].space, false);
    let step = ZonePropagator::new(&network, Seconds::hours(1));
    let flows = network.flows(12.0, HeatGains { internal: 900.0, solar: 0.0 }).with_plant(0.0);
    let mut nodes = [25.0; 2];
    for _ in 0..10_000 {
        nodes = step.advance(nodes, flows);
    }
    let most = reached[0].most[0];
    assert!(nodes[0] > 21.0, "warmer than heating makes it: {}", nodes[0]);
    assert!(nodes[0] <= most && most < nodes[0] + 0.2, "{most} {}", nodes[0]);
}

/// How much lower the worst found is than a bound that forgets something, and than the bound, K.
fn noticed(text: &str, question: &Question, zone: usize, neglect: Neglect) -> (f64, f64) {
    let model = model_of(text);
    let proper = bound(&model, question).expect("bounded")[zone].lowest().0;
    let mutant = bound_but(&model, question, neglect).expect("bounded")[zone].lowest().0;
    let air = found(text, &model, question, End::Lowest)[zone].air;
    (mutant - air, proper - air)
}

fn assert_noticed((mutant, proper): (f64, f64)) {
    assert!(proper <= 1e-9, "the bound itself is passed by {proper} K");
    assert!(mutant > 0.02, "nothing passes what forgets it: {mutant} K");
}

#[test]
fn a_timer_forgotten_is_noticed() {
    let unit = "heating: 9 kW, cooling: 7 kW, control: staged, cycling_time_constant: 1 s, min_off: \
                30 min";
    let neglect = Neglect { timer: true, ..Neglect::default() };
    assert_noticed(noticed(&workshop(unit, ALL_LOCKED), &within(NIGHT, 24), 0, neglect));
}

#[test]
fn cooling_forgotten_is_noticed() {
    let summer = Limits { coldest: 24.0, hottest: 30.0 };
    let text = workshop(STAGED, "mode: auto");
    let neglect = Neglect { cooling: true, ..Neglect::default() };
    assert_noticed(noticed(&text, &within(summer, 24), 0, neglect));
}

#[test]
fn a_sensor_offset_forgotten_is_noticed() {
    let controls = ALL_LOCKED.replace("lag: 0 min", "lag: 0 min, offset: 2");
    let neglect = Neglect { sensor_offset: true, ..Neglect::default() };
    assert_noticed(noticed(&workshop(STAGED, &controls), &within(NIGHT, 24), 0, neglect));
}

/// The workshop with a store beside it.
fn with_a_store() -> String {
    format!(
        "{}  store:
    space: {{floor: 30 m2, mass: very_light, opaque: 6 W/K, neighbours: {{shop: 60 W/K}}}}
    unit: {{heating: 100 W, modes: [heat, fan], control: staged}}
    controls: {{heat: 12, cool: 30, mode: heat}}
",
        workshop("heating: 9 kW, modes: [heat, fan], control: staged", "mode: heat")
    )
}

#[test]
fn a_neighbours_extreme_forgotten_is_noticed() {
    let text = with_a_store();
    let neglect = Neglect { neighbours: true, ..Neglect::default() };
    // What forgets it knows of no place where the store could be by itself.
    let question = Question { from: Some(15.0), ..within(NIGHT, 24) };
    assert_noticed(noticed(&text, &question, 1, neglect));
}

#[test]
fn one_zone_alone_is_found_as_it_is_among_all() {
    let text = with_a_store();
    let (model, question) = (model_of(&text), within(NIGHT, 3));
    let reached = bound(&model, &question).expect("bounded");
    let source = Source { text: &text, name: "case.yaml", variant: None, open: &no_files };
    for end in End::BOTH {
        for (place, all) in found(&text, &model, &question, end).into_iter().enumerate() {
            let zone = ZoneIndex::new(place);
            let alone = find_in(zone, &source, &model, &question, &reached, end);
            assert_eq!(alone, Some(all), "zone {place}, {end:?}");
        }
    }
}

/// What is written for the worst found is a scenario, and its run has the same figure.
#[test]
fn the_worst_found_replays_to_the_same_figure() {
    let text = workshop(STAGED, "mode: auto, low_limit: 8");
    let model = model_of(&text);
    let question = within(NIGHT, 24);
    for end in End::BOTH {
        let found = found(&text, &model, &question, end).remove(0);
        let replayed = model_of(&found.scenario);
        let mut worst = f64::NAN;
        run(
            &replayed,
            &mut EachRow(|row: &StepRow| {
                if worst.is_nan() || end.is_worse(row.temperature, worst) {
                    worst = row.temperature;
                }
            }),
        );
        assert_abs_diff_eq!(worst, found.air, epsilon = 1e-12);
    }
}

#[test]
fn a_low_limit_helps_and_one_for_a_unit_too_small_comes_too_late() {
    let question = within(NIGHT, 24);
    let of = |unit: &str, controls: &str| lowest(&workshop(unit, controls), &question).remove(0);
    let heat = "heating: 9 kW, modes: [heat, fan], control: staged, cycling_time_constant: 1 s";
    let (open, _) = of(heat, "mode: heat");
    let guarded = of(heat, "mode: heat, low_limit: 12");
    assert!(open < 9.0, "{open}");
    assert!(guarded.0 > 9.5 && guarded.1.air < 12.0, "{} {}", guarded.0, guarded.1.air);
    let small = heat.replace("9 kW", "600 W");
    let late = of(&small, "mode: heat, low_limit: 12");
    assert!(late.0 < 9.0 && late.1.air < 10.0, "{} {}", late.0, late.1.air);
}

#[test]
fn a_unit_too_small_is_bounded_by_its_capacity() {
    let text = workshop(&STAGED.replace("9 kW", "1200 W"), ALL_LOCKED);
    let (bound, found) = lowest(&text, &within(NIGHT, 24)).remove(0);
    // 1200 W over about 65 W/K is some 18 K above -10.
    assert!((4.0..12.0).contains(&bound), "{bound}");
    assert!(found.air >= bound && found.air - bound < 1.5, "{} {bound}", found.air);
}

#[test]
fn a_supply_failure_lowers_the_bound_and_a_run_comes_near_it() {
    let text = workshop(STAGED, ALL_LOCKED);
    let without = lowest(&text, &within(NIGHT, 24)).remove(0).0;
    let question = Question { outage: Some(Seconds::hours(4)), ..within(NIGHT, 24) };
    let (bound, found) = lowest(&text, &question).remove(0);
    assert!(bound < without - 2.0, "{bound} {without}");
    assert!(found.air >= bound && found.air - bound < 1.5, "{} {bound}", found.air);
}

#[test]
fn an_owner_who_may_switch_off_leaves_the_others_cold() {
    let group = |owner_off: &str, lock: &str| {
        format!(
            "period: {{from: 2025-01-14, days: 1, step: 300 s}}
weather: {{hours: [-10, -10, -10, -10, -10, -10, 0, 4, 8, 10, 12, 12, 12, 12, 10, 8, 4, 0, -4, -8, -10, -10, -10, -10]}}
outdoor_unit:
  owner: office
  owner_off: {owner_off}
  heating: [{{outdoor: 0, capacity: 14 kW, cop: 3}}]
zones:
  office:
    space: {{floor: 40 m2, mass: light}}
    unit: {{heating: 6 kW, modes: [heat, fan], control: staged}}
    controls: {{heat: 20, cool: 25, mode: heat, controllers: [{{id: door, primary: true, key_locks: {{keys: [{lock}], in_force: true}}}}]}}
  ward:
    space: {{floor: 40 m2, mass: light}}
    unit: {{heating: 6 kW, modes: [heat, fan], control: staged}}
    controls: {{heat: 20, cool: 25, mode: heat, controllers: [{{id: door, primary: true, key_locks: {{keys: [power, mode, setpoint], in_force: true}}}}]}}
"
        )
    };
    let question = within(NIGHT, 24);
    let (stopped, found) = lowest(&group("stop", "mode"), &question).remove(1);
    assert!(found.air >= stopped && found.air - stopped < 1.5, "{} {stopped}", found.air);
    let (held, _) = lowest(&group("stop", "power, mode"), &question).remove(1);
    assert!(held > stopped + 4.0, "{held} {stopped}");
}

#[test]
fn fahrenheit_makes_no_difference() {
    let celsius = workshop(STAGED, ALL_LOCKED);
    let fahrenheit = celsius
        .replace("period:", "temperature: F\nperiod:")
        .replace("heat: 20, cool: 25, min_deadband: 2", "heat: 68, cool: 77, min_deadband: 4")
        .replace("heat: [16, 22], cool: [23, 28]", "heat: [60, 72], cool: [73, 82]")
        .replace("mode: heat,", "mode: heat, setpoint_step: 1, call_start: 0.9,");
    let question = within(NIGHT, 24);
    let one = bound(&model_of(&celsius), &question).expect("bounded")[0].lowest().0;
    let other = bound(&model_of(&fahrenheit), &question).expect("bounded")[0].lowest().0;
    assert_abs_diff_eq!(one, other, epsilon = 0.01);
}

#[test]
fn what_cannot_be_bounded_is_refused_in_words() {
    let text = workshop(STAGED, ALL_LOCKED);
    let crossed = within(Limits { coldest: 5.0, hottest: 4.0 }, 24);
    let refusal = bound(&model_of(&text), &crossed).expect_err("crossed");
    assert_eq!(refusal, Refusal::Crossed);
    assert!(refusal.to_string().contains("--coldest below --hottest"));
    let failing =
        format!("{text}actions:\n  - {{at: \"10:00\", zone: shop, power_failure: 1 h}}\n");
    let refusal = bound(&model_of(&failing), &within(NIGHT, 24)).expect_err("fails");
    assert_eq!(refusal, Refusal::OwnFailures);
}
