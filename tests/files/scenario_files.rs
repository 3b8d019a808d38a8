//! Scenario files that are right: what they are read as, and that the schema agrees.
#![expect(clippy::float_cmp, reason = "what is read and not computed is exact")]

mod defaults;
mod every_zone;
mod whole;

use approx::assert_relative_eq;
use setband::building::ZoneIndex;
use setband::control::{
    Differential, Direction, Key, LockableKey, Mode, Occupancy, OnConflict, Power, Request, Role,
    SensorPlace, Side,
};
use setband::engine::{Doing, Humidity, Model, Rate};
use setband::people::{Complaining, Patience, Switching, Taste, USUAL_PRESSES, UsedKeys};
use setband::plant::{Cop, FanRun, Stages, UnitControl};
use setband::report::{Run, Style, run_text};
use setband::scenario::{Faults, Study, VariantFault, read, schema, starter};
use setband::study::{Keep, simulate};
use setband::time::{DAY, Instant, Seconds, Span};
use setband::units::TemperatureUnit;
use setband::weather::Weather;

const EVERYTHING: &str = include_str!("../good/everything.yaml");

/// The shortest file that runs.
const SHORT: &str = "\
period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
zones:
  attic:
    space: {floor: 40 m2}
    unit: {heating: 3 kW, cooling: 3 kW}
    controls: {heat: 20, cool: 24}
";

fn no_files(name: &str) -> Result<String, String> {
    Err(format!("no {name} in this test"))
}

fn study(text: &str) -> Result<Study, Faults> {
    read(text, "folder/attic.yaml", &no_files)
}

fn right(text: &str) -> Study {
    study(text).unwrap_or_else(|faults| panic!("{faults}"))
}

fn short_with(extra: &str) -> Model {
    right(&format!("{SHORT}{extra}")).base
}

#[test]
fn the_starters_run() {
    for unit in [TemperatureUnit::Celsius, TemperatureUnit::Fahrenheit] {
        let study = right(starter(unit));
        assert_eq!(study.base.unit, unit);
        assert_eq!(study.structural_faults(), None);
        assert_eq!(study.variants.len(), 2);
        for (name, model) in &study.variants {
            assert!(model.is_ok(), "{name}: {model:?}");
        }
        teaches(&study);
    }
}

/// Who runs the starter first sees what the program is for: a zone that starves, a way to mend it,
/// and what a setting that looks harmless costs.
fn teaches(study: &Study) {
    let figures = |model: &Model| {
        let summary = simulate(model, Keep::Nothing).summary;
        let outside: f64 =
            summary.zones.iter().map(|(_, zone)| zone.degree_hours_outside_band).sum();
        let starved: f64 = summary.zones.iter().map(|(_, zone)| zone.starved_hours).sum();
        (starved, outside, summary.energy.total_kwh)
    };
    let variant = |name: &str| {
        let found = study.variants.iter().find(|(known, _)| known == name).expect("a variant");
        figures(found.1.as_ref().expect("right"))
    };
    let (starved, outside, energy) = figures(&study.base);
    assert!(starved > 4.0, "{starved} h");
    let (_, mended, same_energy) = variant("first_to_call");
    assert!(mended < 0.5 * outside && same_energy < 1.1 * energy, "{mended} of {outside}");
    let (.., wasted) = variant("no_deadband");
    assert!(wasted > 1.5 * energy, "{wasted} against {energy} kWh");
}

/// A room held at its heat setpoint by proportional output lies a little below it all day: hours
/// alone make a failure of that, degrees and a tolerance of half a step do not.
#[test]
fn a_tolerance_takes_the_knife_edge_off_the_comfort_band() {
    let run = |comfort: &str| {
        let text = format!(
            "period: {{from: 2025-01-15}}\nweather: {{hours: [{}]}}\nzones:\n  hall:\n    space: \
             {{floor: 60 m2}}\n    unit: {{heating: 4 kW, cooling: 4 kW}}\n    controls: {{heat: 20, \
             cool: 24}}\n    comfort: {{{comfort}}}\n",
            ["6"; 24].join(", ")
        );
        let model = right(&text).base;
        let finished = simulate(&model, Keep::Nothing);
        let summary = &finished.summary;
        let run = Run { model: &model, rows: &[], ledger: &finished.ledger, summary };
        let text = run_text(&run, Style::default(), &[]).replace('\n', " ");
        let zone = &summary.zones[0].1;
        (zone.hours_outside_band, zone.degree_hours_outside_band, text)
    };
    let (hours, degree_hours, said) = run("band: [20, 26]");
    let mean = degree_hours / hours;
    assert!(hours > 20.0 && mean < 0.7, "{hours} h by {mean}");
    let told = format!("by {mean:.2} °C on average ({degree_hours:.1} °C h)");
    assert!(said.contains(&told), "{told}: {said}");
    let (hours, degree_hours, _) = run("band: [20, 26], tolerance: 0.8");
    assert!((hours, degree_hours) == (0.0, 0.0), "{hours} {degree_hours}");
}

/// The file that the README shows runs, and its variant costs what the README says.
#[test]
fn the_short_file_of_the_readme_teaches_something() {
    let readme = include_str!("../../README.md");
    let text = readme.split("```yaml\n").nth(1).and_then(|rest| rest.split("```").next());
    let study = right(text.expect("a YAML block"));
    let energy = |model: &Model| simulate(model, Keep::Nothing).summary.energy.total_kwh;
    let [(_, single)] = study.variants.as_slice() else { panic!("one variant") };
    let (with, without) = (energy(&study.base), energy(single.as_ref().expect("right")));
    assert!(without > 1.8 * with, "{without} against {with} kWh");
    assert!(readme.contains("twice the electricity"), "the README says what comes of it");
}

#[test]
fn every_key_arrives_where_it_belongs() {
    let study = right(EVERYTHING);
    let model = &study.base;
    assert_eq!((model.title.as_str(), model.seed, model.period.days()), ("The old mill", 7, 3));
    assert_eq!(model.period.step(), Seconds::minutes(5));
    // The 16th to the 18th are no holidays, the 19th, on which the period ends, is one.
    assert_eq!([0, 1, 2, 3].map(|day| model.period.is_holiday(day)), [false, false, false, true]);
    let noon = |day: i64| Instant::new(day * DAY + DAY / 2);
    assert_eq!(model.period.on_clocks(noon(0)), noon(0));
    assert_eq!(model.period.on_clocks(noon(4)), noon(4) + Seconds::hours(1));
    let Weather::Monthly { pairs, site } = &model.weather else { panic!("monthly") };
    assert_eq!((pairs[0], pairs[11]), ((4.0, -2.0), (5.0, -1.0)));
    assert_eq!(
        site.map(|site| (site.latitude, site.longitude, site.utc_offset)),
        Some((48.0, 8.5, 1.0))
    );
    assert_eq!((model.site, model.humidity), (*site, Humidity::Constant(45.0)));
    assert_eq!(model.sky.model, setband::weather::SkyModel::Isotropic);
    assert!(model.sky.is_meant_clear && model.sky.monthly.is_none());
    assert_eq!(model.sky.clear.map(|sky| (sky.taub, sky.taud)), Some((0.35, 2.3)));
    let tariff = model.tariff.as_ref().expect("given");
    assert!(matches!(&tariff.price, Rate::Hourly(prices) if prices[6] == 0.3));
    assert_eq!(tariff.currency, "shells");
    assert!(matches!(&tariff.carbon, Some(Rate::Flat(carbon)) if (carbon - 0.3).abs() < 1e-12));
    assert_people(model);
    assert_eq!(model.neighbours.len(), 1);
    let neighbour = model.neighbours[0];
    assert_eq!((neighbour.one, neighbour.other), (ZoneIndex::new(0), ZoneIndex::new(1)));
    assert_relative_eq!(neighbour.conductance, 15.0);
}

#[test]
fn a_space_is_read_in_si() {
    let zone = &right(EVERYTHING).base.zones[0];
    assert_eq!((zone.id.as_str(), zone.label.as_str()), ("weaving", "Weaving room"));
    let space = zone.space.input();
    assert_relative_eq!(space.floor, 90.0);
    assert_relative_eq!(space.height, 11.0 * 0.3048, epsilon = 1e-12);
    assert_relative_eq!(space.mass_capacity, 20e6);
    assert_relative_eq!(space.mass_area, 250.0);
    assert_relative_eq!(space.air_capacity, 1.2e6);
    assert_relative_eq!(space.opaque, 80.0);
    // 1 Btu/(h ft2 F) = 5.678263 W/(m2 K), 1 ft2 = 0.09290304 m2: NIST SP 811, appendix B.8.
    let windows = 10.0 * 1.4 + 20.0 * 0.092_903_04 * 0.28 * 5.678_263 + 2.0 * 1.6 + 2.0;
    assert_relative_eq!(space.windows, windows, epsilon = 1e-5);
    assert_relative_eq!(space.infiltration, 0.25);
    assert_eq!(space.start, Some(18.5));
    let ventilation = space.ventilation.expect("given");
    assert_relative_eq!(ventilation.flow, 200.0 / 3600.0, epsilon = 1e-12);
    assert_eq!(ventilation.when.from().get(), 7 * 3600);
    let facings: Vec<(f64, f64)> =
        zone.windows.iter().map(|window| (window.facing.azimuth, window.facing.tilt)).collect();
    assert_eq!(facings, [(135.0, 90.0), (200.0, 90.0), (0.0, 0.0), (0.0, 90.0)]);
    assert_eq!(zone.windows[3].solar_factor, 0.0);
    let first = &zone.windows[0];
    assert_eq!((first.frame, first.slant, zone.windows[1].frame), (0.25, false, 0.2));
    let shade = first.shade.expect("given");
    assert_eq!((shade.factor, shade.above, shade.when_occupied), (0.4, Some(300.0), true));
    let walls: Vec<(f64, f64, f64)> =
        zone.walls.iter().map(|it| (it.area, it.transmittance, it.absorptance)).collect();
    // 80 W/K over 30 m2 and 20 m2 where nothing is given.
    assert_eq!(walls, [(30.0, 0.4, 0.7), (20.0, 1.6, 0.6)]);
    assert_eq!(zone.gains.len(), 2);
    assert_relative_eq!(zone.gains[0].power, 1200.0);
    assert_relative_eq!(zone.comfort.air_speed, 0.1016, epsilon = 1e-9);
    assert_eq!((zone.comfort.low, zone.comfort.high, zone.comfort.tolerance), (19.5, 25.0, 0.25));
    let lawful = zone.comfort.lawful.expect("given");
    assert_eq!((lawful.low, lawful.high), (Some(16.0), Some(30.0)));
    assert_eq!(zone.comfort.met, 1.6);
    assert_eq!(zone.comfort.clothing, setband::engine::Clothing::Same(0.8));
}

#[test]
fn a_unit_counts_all_its_indoor_units() {
    let unit = right(EVERYTHING).base.zones[0].unit.clone();
    let [heating, cooling] = [unit.heating, unit.cooling].map(|it| it.expect("both are given"));
    assert_eq!((heating.rated, heating.cop.at(-2.0)), (8000.0, 3.2));
    assert_eq!((cooling.rated, cooling.cop), (6000.0, Cop::Constant(3.9)));
    let (every, lasts) = (Seconds::minutes(15), Seconds::minutes(2));
    assert_eq!((unit.fan, unit.count), (80.0, 2));
    assert_eq!(unit.fan_run, FanRun::Sample { every, lasts });
    assert_eq!(unit.start_up.reach_lowest, Seconds::minutes(10));
    assert_eq!(unit.reversal_time, Seconds::minutes(2));
    assert_eq!(unit.start_up.time_constant, 60.0);
    let stages = Stages::new(&[0.4, 0.7, 1.0], &[0.35, 0.7, 1.0], 0.8).expect("they rise to 1");
    assert_eq!(unit.control, UnitControl::Staged { stages });
    let UnitControl::Modulating { integral_time, .. } =
        right(EVERYTHING).base.zones[1].unit.control
    else {
        panic!("the office has a modulating unit")
    };
    assert_eq!(integral_time, Some(1500.0));
}

#[test]
fn controls_are_read_in_ticks() {
    let controls = &right(EVERYTHING).base.zones[0].controls;
    let (settings, grid) = (&controls.settings, controls.settings.grid);
    assert_eq!(grid.step(), 0.5);
    assert_eq!(grid.value(controls.start.setpoints.heat()), 19.5);
    assert_eq!(grid.value(controls.start.setpoints.cool()), 24.0);
    assert_eq!((controls.start.mode, controls.start.power), (Mode::Heat, Power::On));
    assert_eq!(grid.value(settings.rules.deadband()), 2.0);
    assert_eq!(settings.rules.on_conflict(), OnConflict::PushAndReturn);
    let limits = settings.rules.limits();
    let ends = [limits.heat.low, limits.heat.high, limits.cool.low, limits.cool.high];
    assert_eq!(ends.map(|end| grid.value(end)), [16.0, 22.0, 18.0, 28.0]);
    let modes = [Mode::Cool, Mode::Dry, Mode::Auto, Mode::Heat, Mode::Fan];
    assert_eq!(settings.modes.as_slice(), modes);
    assert!(settings.locked_modes.has(Mode::Fan) && !settings.locked_modes.has(Mode::Heat));
    assert!(settings.display.is_some());
    assert_eq!(controls.direction, Direction::Cooling);
    let thermostat = controls.thermostat;
    assert_eq!(thermostat.call_start, Differential { heating: 0.3, cooling: 0.45 });
    assert_eq!(thermostat.call_stop, Differential { heating: 0.25, cooling: 0.1 });
    assert_eq!(thermostat.changeover_delay, Seconds::minutes(15));
    assert_eq!((thermostat.min_on, thermostat.min_off), (Seconds::minutes(4), Seconds::minutes(5)));
    let low_limit = controls.low_limit.expect("given");
    assert_eq!((low_limit.below, low_limit.until), (8.0, 9.0));
    assert_eq!(controls.auto_off, Some(Seconds::hours(10)));
    let setback = controls.setback.expect("given");
    let values = [setback.heat, setback.cool, setback.heat_low, setback.cool_high];
    assert_eq!(values.map(|value| grid.value(value)), [3.0, 2.5, 11.0, 33.0]);
    assert_eq!(controls.override_time, Seconds::minutes(90));
    let early = controls.optimum_start.expect("given");
    assert_eq!(early.most, Seconds::minutes(100));
    assert_eq!(controls.ignored_start, None);
}

#[test]
fn sensors_and_controllers_are_read() {
    let model = right(EVERYTHING).base;
    let controls = &model.zones[0].controls;
    let sensor = controls.sensor;
    assert_eq!(sensor.place, SensorPlace::ReturnAir { heating: 1.5, cooling: 0.5 });
    assert_eq!((sensor.offset, sensor.lag, sensor.resolution), (-0.4, Seconds::minutes(3), 0.1));
    let controllers = &controls.settings.controllers;
    assert_eq!(controllers.id(controllers.primary()), "loom");
    assert_eq!(controllers.as_slice()[1].offset, -0.3);
    assert!(controls.settings.key_locks[0].refuses(LockableKey::Mode));
    let Occupancy::Schedule(spans) = &controls.occupancy else { panic!("a schedule") };
    assert_eq!(spans.len(), 2);
    let office = &model.zones[1].controls;
    assert_eq!(office.sensor.place, SensorPlace::Controllers { offset: 0.0 });
    assert_eq!(office.occupancy, Occupancy::Sensor { hold: Seconds::minutes(30) });
    // No cooling: heating and fan are left, and the zone starts in the first.
    assert_eq!(office.settings.modes.as_slice(), [Mode::Heat, Mode::Fan]);
    assert_eq!(office.start.mode, Mode::Heat);
}

#[test]
fn the_sensor_may_sit_in_a_controller_or_average_both() {
    let with_place = |place: &str| {
        let text = EVERYTHING.replace("place: return_air", &format!("place: {place}"));
        right(&text).base.zones[0].controls.sensor.place
    };
    assert_eq!(with_place("door"), SensorPlace::Controllers { offset: -0.3 });
    let SensorPlace::Controllers { offset } = with_place("average") else { panic!("controllers") };
    assert_relative_eq!(offset, 0.1, epsilon = 1e-12);
}

#[test]
fn rule_17_setpoints_go_back_as_requests_of_the_schedule_heat_first_on_every_day() {
    let model = right(EVERYTHING).base;
    let returned: Vec<String> = model
        .actions
        .iter()
        .filter(|action| action.place.is_none())
        .map(|action| {
            let Doing::Request(Request::Setpoint(side, value)) = action.what else {
                panic!("only setpoints go back")
            };
            assert_eq!(action.role, Role::Schedule);
            format!("{} {} {value}", model.period.clock(action.at), side.name())
        })
        .collect();
    let day = |day: u32| {
        ["12:00 heat 19", "12:00 cool 24", "18:00 heat 19", "18:00 cool 24"]
            .map(|row| format!("d{day} {row}"))
    };
    assert_eq!(returned, [day(1), day(2), day(3)].concat());
}

#[test]
fn actions_become_single_requests_in_the_order_in_which_they_apply() {
    let model = right(EVERYTHING).base;
    let told: Vec<String> = model
        .actions
        .iter()
        // What goes back by the clock is no action of the file.
        .filter(|action| action.place.is_some())
        .map(|action| {
            let what = match &action.what {
                Doing::Set(_) => "set".to_owned(),
                Doing::Window(to) => format!("window {}", to.name()),
                Doing::PowerFailure(lasts) => format!("power_failure {lasts}"),
                Doing::Request(Request::Power(power)) => format!("power {}", power.name()),
                Doing::Request(Request::Mode(mode)) => format!("mode {}", mode.name()),
                Doing::Request(Request::Setpoint(side, value)) => {
                    format!("{} {value}", side.name())
                }
                Doing::Request(Request::Press(key)) => format!("press {}", key.name()),
            };
            let at = model.period.clock(action.at);
            format!("{at} {} {} {what}", action.by, action.controller.get())
        })
        .collect();
    // 2025-04-16 is a Wednesday, so the three days are weekdays and no Saturday comes.
    let expected = [
        "d1 07:30 schedule 0 heat 21",
        "d1 08:40 weaver 0 heat 21.3",
        "d1 10:05 occupant 1 press cooler",
        "d1 10:05 occupant 1 press cooler",
        "d1 10:05 occupant 1 press cooler",
        "d1 11:00 weaver 0 window open",
        "d2 07:00 fitter 0 set",
        "d2 07:30 schedule 0 heat 21",
        "d2 12:30 occupant 0 power off",
        "d2 12:30 occupant 0 mode cool",
        "d2 12:30 occupant 0 heat 20",
        "d2 12:30 occupant 0 cool 25",
        "d2 12:30 occupant 0 press power",
        "d3 07:30 schedule 0 heat 21",
    ];
    assert_eq!(told, expected);
    let set = model.actions.iter().find(|action| action.role == Role::Technician);
    let Some(Doing::Set(change)) = set.map(|action| &action.what) else {
        panic!("a change of settings")
    };
    let grid = model.zones[0].controls.settings.grid;
    assert_eq!(change.zone.deadband.map(|ticks| grid.value(ticks)), Some(3.0));
    assert_eq!(change.zone.heat_limits.map(|range| grid.value(range.high)), Some(21.0));
    assert_eq!((change.zone.cool_limits, change.zone.on_conflict), (None, Some(OnConflict::Hold)));
    assert!(change.zone.locked_modes.is_some_and(|modes| !modes.has(Mode::Fan)));
    assert_eq!(change.zone.key_locks.len(), 2);
    assert!(change.zone.key_locks[1].1.refuses(LockableKey::Setpoint));
}

#[test]
fn actions_of_one_time_stay_in_the_order_of_the_file() {
    let model = short_with(
        "actions:\n  - {at: \"09:00\", zone: attic, by: one, heat: 21}\n  - {at: \"08:00\", zone: \
         attic, press: warmer}\n  - {at: \"09:00\", zone: attic, by: two, cool: 23}\n",
    );
    let by: Vec<&str> = model.actions.iter().map(|action| &*action.by).collect();
    assert_eq!(by, ["occupant", "one", "two"]);
    assert_eq!(model.actions[0].what, Doing::Request(Request::Press(Key::Warmer)));
}

/// Defaults: the control rules (rules 2, 9, 11) and the scenario format have them; the two for
/// comfort's met and clo and the sky's are this program's own, common practice without a source.
fn assert_people(model: &Model) {
    let names: Vec<&str> = model.people.iter().map(|person| &*person.shown).collect();
    assert_eq!(names, ["weaver 1", "weaver 2", "clerk"]);
    let weaver = &model.people[1];
    assert_eq!((&*weaver.name, weaver.copy, weaver.zone), ("weaver", 2, ZoneIndex::new(0)));
    assert_eq!(
        (weaver.taste.prefers, weaver.taste.spread, weaver.taste.tolerance),
        (20.0, 0.5, 0.8)
    );
    assert_eq!(weaver.patience, Patience::About { mean: Seconds::minutes(15), spread: 0.3 });
    let attendance = &weaver.attendance;
    assert_eq!((attendance.spans.len(), attendance.absent), (2, 0.1));
    let spreads = (attendance.arrival_spread, attendance.departure_spread);
    assert_eq!(spreads, (Seconds::minutes(10), Seconds::minutes(5)));
    let away = attendance.away.expect("given");
    assert_eq!((away.every, away.lasts), (Seconds::minutes(90), Seconds::minutes(10)));
    let controllers = &model.zones[0].controls.settings.controllers;
    assert_eq!(controllers.id(weaver.controller), "door");
    assert_eq!(weaver.keys, UsedKeys { setpoint: true, mode: true, power: true });
    assert_eq!((weaver.presses, weaver.gives_up_after, weaver.heat.sensible), (2, None, 110.0));
    assert_eq!(weaver.switching, Switching::Both { forgets: 0.2 });
    let after = Seconds::minutes(45);
    let complaining = Complaining { after, rate: 0.5, kelvin_per_vote: 2.5 };
    assert_eq!(weaver.complaining, complaining);
    let clerk = &model.people[2];
    assert_eq!(clerk.keys, UsedKeys { setpoint: false, mode: false, power: false });
}
