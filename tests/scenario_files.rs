//! Scenario files that are right: what they are read as, and that the schema agrees.
#![expect(clippy::float_cmp, reason = "what is read and not computed is exact")]

use approx::assert_relative_eq;
use setband::building::ZoneIndex;
use setband::control::{
    Direction, Key, LockableKey, Mode, Occupancy, OnConflict, Power, Request, Role, SensorPlace,
    Side,
};
use setband::engine::{Doing, Humidity, Model, Rate};
use setband::people::{Complaining, Switching, UsedKeys};
use setband::plant::{FanRun, UnitControl};
use setband::scenario::{Faults, Study, VariantFault, read, schema, starter};
use setband::time::{DAY, Instant, Seconds, Span};
use setband::units::TemperatureUnit;
use setband::weather::Weather;

const EVERYTHING: &str = include_str!("good/everything.yaml");

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
    }
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
    assert_eq!(model.clear_sky.map(|sky| (sky.taub, sky.taud)), Some((0.35, 2.3)));
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
    assert_eq!(zone.gains.len(), 2);
    assert_relative_eq!(zone.gains[0].power, 1200.0);
    assert_relative_eq!(zone.comfort.air_speed, 0.1016, epsilon = 1e-9);
    assert_eq!((zone.comfort.low, zone.comfort.high), (19.5, 25.0));
    let lawful = zone.comfort.lawful.expect("given");
    assert_eq!((lawful.low, lawful.high), (Some(16.0), Some(30.0)));
    assert_eq!((zone.comfort.met, zone.comfort.clo), (1.6, 0.8));
}

#[test]
fn a_unit_counts_all_its_indoor_units() {
    let unit = right(EVERYTHING).base.zones[0].unit;
    assert_eq!(unit.heating.map(|heating| (heating.rated, heating.cop)), Some((8000.0, 3.6)));
    assert_eq!(unit.cooling.map(|cooling| (cooling.rated, cooling.cop)), Some((6000.0, 3.9)));
    assert_eq!((unit.fan, unit.fan_run, unit.count), (80.0, FanRun::Continuous, 2));
    assert_eq!(unit.control, UnitControl::Staged { time_constant: 60.0 });
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
    assert_eq!((thermostat.call_start, thermostat.call_stop), (0.3, 0.2));
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
fn actions_become_single_requests_in_the_order_in_which_they_apply() {
    let model = right(EVERYTHING).base;
    let told: Vec<String> = model
        .actions
        .iter()
        .map(|action| {
            let what = match &action.what {
                Doing::Set(_) => "set".to_owned(),
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
    assert_eq!(model.actions[5].role, Role::Technician);
    let Doing::Set(change) = &model.actions[5].what else { panic!("a change of settings") };
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
    assert_eq!((weaver.prefers, weaver.prefers_spread, weaver.tolerance), (20.0, 0.5, 0.8));
    assert_eq!((weaver.patience.mean, weaver.patience.spread), (Seconds::minutes(15), 0.3));
    let attendance = &weaver.attendance;
    assert_eq!((attendance.spans.len(), attendance.absent), (2, 0.1));
    let spreads = (attendance.arrival_spread, attendance.departure_spread);
    assert_eq!(spreads, (Seconds::minutes(10), Seconds::minutes(5)));
    let away = attendance.away.expect("given");
    assert_eq!((away.every, away.lasts), (Seconds::minutes(90), Seconds::minutes(10)));
    let controllers = &model.zones[0].controls.settings.controllers;
    assert_eq!(controllers.id(weaver.controller), "door");
    assert_eq!(weaver.keys, UsedKeys { setpoint: true, mode: true, power: true });
    assert_eq!((weaver.presses, weaver.gives_up_after, weaver.gain), (2, None, 110.0));
    assert_eq!(weaver.switching, Switching::Both { forgets: 0.2 });
    let after = Seconds::minutes(45);
    let complaining = Complaining { after, rate: 0.5, kelvin_per_vote: 2.5 };
    assert_eq!(weaver.complaining, complaining);
    let clerk = &model.people[2];
    assert_eq!(clerk.keys, UsedKeys { setpoint: false, mode: false, power: false });
}

#[test]
fn people_have_defaults_in_both_units() {
    let one = "people: [{zone: attic, name: ann, prefers: 21}]\n";
    let ann = short_with(one).people.remove(0);
    assert_eq!((ann.tolerance, ann.complaining.kelvin_per_vote), (1.0, 3.0));
    assert_eq!((ann.patience.mean, ann.patience.spread), (Seconds::minutes(20), 0.5));
    assert_eq!((ann.attendance.spans, ann.attendance.absent), (vec![Span::ALWAYS], 0.0));
    assert_eq!((ann.attendance.away, ann.switching), (None, Switching::Never));
    assert_eq!(ann.keys, UsedKeys { setpoint: true, mode: false, power: false });
    assert_eq!((ann.presses, ann.gives_up_after, ann.gain), (1, Some(5), 0.0));
    assert_eq!((ann.complaining.after, ann.complaining.rate), (Seconds::minutes(30), 1.0));
    let text =
        SHORT.replace("heat: 20, cool: 24", "heat: 68, cool: 75").replace("high: 18", "high: 64");
    let read = right(&format!("temperature: F\n{text}{}", one.replace("21", "71.6")));
    let ann = &read.base.people[0];
    assert_relative_eq!(ann.prefers, 22.0, epsilon = 1e-9);
    assert_relative_eq!(ann.tolerance, 10.0 / 9.0, epsilon = 1e-9);
    assert_relative_eq!(ann.complaining.kelvin_per_vote, 3.0, epsilon = 1e-9);
}

#[test]
fn every_default_in_celsius() {
    let model = right(SHORT).base;
    assert_eq!((model.title.as_str(), model.seed, model.period.days()), ("attic", 1, 1));
    assert_eq!(model.period.step(), Seconds::minutes(1));
    assert_eq!((model.unit, model.humidity), (TemperatureUnit::Celsius, Humidity::Constant(50.0)));
    assert_eq!((model.site, model.clear_sky, model.tariff.clone()), (None, None, None));
    assert!(model.actions.is_empty() && model.neighbours.is_empty() && model.variant.is_none());
    let zone = &model.zones[0];
    assert_eq!(zone.label, "attic");
    let space = zone.space.input();
    assert_relative_eq!(space.height, 2.7);
    // Medium: ISO 13790:2008, Table 12: 2.5 m2 and 165 kJ/K for each m2 of floor.
    assert_relative_eq!(space.mass_area, 2.5 * 40.0);
    assert_relative_eq!(space.mass_capacity, 165_000.0 * 40.0);
    // ISO 52016-1:2017: 10 kJ/K for each m2 of floor.
    assert_relative_eq!(space.air_capacity, 10_000.0 * 40.0);
    assert_relative_eq!(space.opaque, 20.0);
    assert_eq!((space.windows, space.infiltration, space.ventilation), (0.0, 0.0, None));
    assert_eq!(space.start, None);
    assert!(zone.gains.is_empty() && zone.windows.is_empty());
    let unit = zone.unit;
    assert_eq!(unit.heating.map(|it| (it.rated, it.cop)), Some((3000.0, 3.2)));
    assert_eq!(unit.cooling.map(|it| (it.rated, it.cop)), Some((3000.0, 3.4)));
    assert_eq!((unit.fan, unit.fan_run, unit.count), (0.0, FanRun::WithCall, 1));
    let modulating = UnitControl::Modulating { turndown: 0.25, throttling_range: 1.0 };
    assert_eq!(unit.control, modulating);
    let comfort = zone.comfort;
    assert_eq!((comfort.low, comfort.high), (20.0, 26.0));
    assert_eq!((comfort.met, comfort.clo, comfort.air_speed), (1.2, 0.7, 0.1));
    assert_controls_by_default(&model, [0.5, 1.0, 0.5], [10.0, 30.0, 16.0, 35.0]);
    let staged = right(&SHORT.replace("cooling: 3 kW", "cooling: 3 kW, control: staged")).base;
    assert_eq!(staged.zones[0].unit.control, UnitControl::Staged { time_constant: 76.0 });
}

#[test]
fn every_default_in_fahrenheit() {
    let text = SHORT.replace("heat: 20, cool: 24", "heat: 68, cool: 76");
    let model = right(&format!("temperature: F\n{}", text.replace("high: 18", "high: 64"))).base;
    let zone = &model.zones[0];
    let modulating = UnitControl::Modulating { turndown: 0.25, throttling_range: 1.8 };
    assert_eq!(zone.unit.control, modulating);
    assert_relative_eq!(zone.comfort.low, 20.0, epsilon = 1e-12);
    assert_relative_eq!(zone.comfort.high, 26.0, epsilon = 1e-12);
    assert_controls_by_default(&model, [1.0, 2.0, 1.0], [50.0, 86.0, 60.0, 95.0]);
    let Weather::DesignDay { high, range, site } = model.weather else { panic!("design day") };
    assert_relative_eq!(high, (64.0 - 32.0) / 1.8);
    assert_relative_eq!(range, 11.0 / 1.8);
    assert_eq!(site, None);
}

/// `sizes`: step, deadband and call start.
fn assert_controls_by_default(model: &Model, sizes: [f64; 3], limits: [f64; 4]) {
    let controls = &model.zones[0].controls;
    let (settings, grid) = (&controls.settings, controls.settings.grid);
    let deadband = grid.value(settings.rules.deadband());
    assert_eq!([grid.step(), deadband, controls.thermostat.call_start], sizes);
    let written = settings.rules.limits();
    let ends = [written.heat.low, written.heat.high, written.cool.low, written.cool.high];
    assert_eq!(ends.map(|end| grid.value(end)), limits);
    assert_eq!(settings.rules.on_conflict(), OnConflict::Push);
    assert_eq!(settings.modes.as_slice(), Mode::ALL);
    assert_eq!((controls.start.mode, controls.start.power), (Mode::Auto, Power::On));
    assert_eq!(controls.direction, Direction::Heating);
    assert!(Mode::ALL.iter().all(|mode| !settings.locked_modes.has(*mode)));
    assert_eq!(controls.thermostat.call_stop, 0.0);
    assert_eq!(controls.thermostat.changeover_delay, Seconds::minutes(10));
    assert_eq!(controls.thermostat.min_on, Seconds::ZERO);
    assert_eq!(controls.thermostat.min_off, Seconds::minutes(3));
    assert_eq!((controls.low_limit, controls.auto_off, settings.display), (None, None, None));
    assert_eq!(controls.sensor.place, SensorPlace::Room);
    assert_eq!(
        (controls.sensor.offset, controls.sensor.lag, controls.sensor.resolution),
        (0.0, Seconds::ZERO, 0.0)
    );
    assert_eq!(settings.controllers.id(settings.controllers.primary()), "main");
    assert_eq!(settings.controllers.as_slice().len(), 1);
    assert_eq!(settings.key_locks.len(), 1);
    assert_eq!(controls.occupancy, Occupancy::Always);
    assert_eq!((controls.setback, controls.override_time), (None, Seconds::hours(2)));
}

#[test]
fn defaults_inside_optional_blocks() {
    let with = |unit: &str, setpoints: &str| {
        let controls = format!(
            "{{{setpoints}, sensor: {{place: return_air}}, setback: {{heat: 2}}, low_limit: 45, \
             controllers: [{{id: wall, primary: true}}]}}"
        );
        let controls = if unit == "C" { controls.replace("45", "7") } else { controls };
        let text = SHORT.replace("{heat: 20, cool: 24}", &controls).replace("high: 18", "high: 40");
        right(&format!("temperature: {unit}\n{text}")).base.zones.remove(0).controls
    };
    let celsius = with("C", "heat: 20, cool: 24");
    assert_eq!(celsius.sensor.place, SensorPlace::ReturnAir { heating: 2.0, cooling: 0.0 });
    assert_eq!(celsius.low_limit.map(|limit| limit.until), Some(8.0));
    let grid = celsius.settings.grid;
    let floors =
        celsius.setback.map(|it| [it.cool, it.heat_low, it.cool_high].map(|t| grid.value(t)));
    assert_eq!(floors, Some([0.0, 10.0, 35.0]));
    let fahrenheit = with("F", "heat: 68, cool: 76");
    assert_eq!(fahrenheit.sensor.place, SensorPlace::ReturnAir { heating: 4.0, cooling: 0.0 });
    assert_eq!(fahrenheit.low_limit.map(|limit| limit.until), Some(47.0));
    let grid = fahrenheit.settings.grid;
    let floors =
        fahrenheit.setback.map(|it| [it.cool, it.heat_low, it.cool_high].map(|t| grid.value(t)));
    assert_eq!(floors, Some([0.0, 50.0, 95.0]));
    let model = short_with("tariff: {price: 0.2}\n");
    let tariff = model.tariff.expect("given");
    assert_eq!(
        (tariff.price, tariff.currency.as_str(), tariff.carbon),
        (Rate::Flat(0.2), "", None)
    );
    let sky = right(&SHORT.replace("weather: {", "weather: {clear_sky: {}, ")).base.clear_sky;
    assert_eq!(sky.map(|sky| (sky.taub, sky.taud)), Some((0.40, 2.15)));
}

#[test]
fn one_setpoint_starts_on_the_active_side_and_ignores_the_other() {
    let start = |controls: &str| {
        let controls =
            right(&SHORT.replace("heat: 20, cool: 24", controls)).base.zones.remove(0).controls;
        let grid = controls.settings.grid;
        (grid.value(controls.start.setpoints.heat()), controls.ignored_start)
    };
    let both = "heat: 20, cool: 24, min_deadband: 0";
    assert_eq!(start(both), (20.0, Some((Side::Cool, 24.0))));
    assert_eq!(start(&format!("{both}, mode: cool")), (24.0, Some((Side::Heat, 20.0))));
    assert_eq!(start(&format!("{both}, direction: cooling")), (24.0, Some((Side::Heat, 20.0))));
    assert_eq!(start(&format!("{both}, mode: cool, power: off")), (20.0, Some((Side::Cool, 24.0))));
    assert_eq!(start("heat: 22, cool: 22, min_deadband: 0"), (22.0, None));
}

#[test]
fn variants_change_what_they_name() {
    let study = right(EVERYTHING);
    let deadbands = |model: &Model| {
        let of = |zone: &setband::engine::Zone| {
            zone.controls.settings.grid.value(zone.controls.settings.rules.deadband())
        };
        model.zones.iter().map(of).collect::<Vec<f64>>()
    };
    assert_eq!(deadbands(&study.base), [2.0, 1.0]);
    let wide = study.variant("wide").expect("right");
    assert_eq!((deadbands(wide), wide.variant.as_deref()), (vec![4.0, 4.0], Some("wide")));
    assert_eq!(deadbands(study.variant("single").expect("right")), [0.0, 1.0]);
    let unknown = study.variant("wode").expect_err("no such variant");
    assert_eq!(unknown, VariantFault::Unknown { nearest: Some("wide") });
}

#[test]
fn a_variant_can_make_blocks_that_the_file_leaves_out() {
    let text = format!("{SHORT}variants: {{lag: {{zones.attic.controls.sensor.lag: 4 min}}}}\n");
    let study = right(&text);
    let lag = study.variant("lag").expect("right").zones[0].controls.sensor.lag;
    assert_eq!(lag, Seconds::minutes(4));
}

#[test]
fn a_faulty_variant_stops_neither_the_file_nor_the_others() {
    let text = format!(
        "{SHORT}variants:\n  far: {{zones.attic.controls.heat: 29}}\n  lost: \
         {{zones.atic.controls.heat: 19}}\n  fine: {{zones.*.controls.heat: 19}}\n"
    );
    let study = right(&text);
    let Err(VariantFault::Faulty(far)) = study.variant("far") else { panic!("29 over 24") };
    let fault = &far.as_slice()[0];
    assert_eq!((fault.code, fault.line), ("start-too-close", 9));
    assert!(study.variant("fine").is_ok() && study.variant("lost").is_err());
    // What is wrong whatever the file says is told apart: here the path that leads nowhere.
    let structural = study.structural_faults().expect("one");
    let codes: Vec<&str> = structural.as_slice().iter().map(|fault| fault.code).collect();
    assert_eq!((codes, structural.as_slice()[0].line), (vec!["unknown-path"], 10));
}

#[test]
fn a_weather_file_is_read_beside_the_scenario() {
    let text = SHORT.replace("{design_day: {high: 18, range: 11}}", "{csv: hours.csv}");
    let hour = |hour: u32| format!("2025-04-16T{hour:02}:00,{}\n", f64::from(hour) / 2.0);
    let rows: String = (0..24).map(hour).collect();
    let file = format!("time,temperature\n2025-04-15 12:00,3\n{rows}2025-04-18T00:00:00,9\n");
    let open =
        |name: &str| if name == "hours.csv" { Ok(file.clone()) } else { Err("?".to_owned()) };
    let study = read(&text, "attic.yaml", &open).unwrap_or_else(|faults| panic!("{faults}"));
    let Weather::Readings(readings) = study.base.weather else { panic!("readings") };
    let rows: Vec<(f64, f64)> = readings.iter().map(|row| (row.second, row.temperature)).collect();
    // From the last row not after the start to the first not before the end.
    assert_eq!(rows.len(), 25);
    assert_eq!((rows[0], rows[1], rows[24]), ((0.0, 0.0), (3600.0, 0.5), (172_800.0, 9.0)));
}

#[test]
fn aliases_stand_for_what_they_name() {
    let text = SHORT.replace(
        "    controls: {heat: 20, cool: 24}\n",
        "    controls: &same {heat: 20, cool: 24}\n  cellar:\n    space: {floor: 40 m2}\n    unit: \
         {heating: 3 kW, cooling: 3 kW}\n    controls: *same\n",
    );
    assert_eq!(right(&text).base.zones[1].controls, right(SHORT).base.zones[0].controls);
}

fn as_json(text: &str) -> serde_json::Value {
    serde_yaml::from_str(text).expect("YAML")
}

#[test]
fn the_schema_takes_what_the_reader_takes() {
    let validator = jsonschema::draft202012::new(&schema()).expect("a schema");
    let starters = [TemperatureUnit::Celsius, TemperatureUnit::Fahrenheit].map(starter);
    for text in [EVERYTHING, SHORT, starters[0], starters[1]] {
        let value = as_json(text);
        let errors: Vec<String> =
            validator.iter_errors(&value).map(|error| error.to_string()).collect();
        assert_eq!(errors, Vec::<String>::new());
    }
}

#[test]
fn the_schema_and_the_reader_refuse_the_same_slips() {
    let validator = jsonschema::draft202012::new(&schema()).expect("a schema");
    let slips = [
        ("floor: 40 m2", "floor: 40"),
        ("floor: 40 m2", "floor: 40 kW"),
        ("floor: 40 m2", "flor: 40 m2"),
        ("heat: 20", "heat: \"20\""),
        ("heat: 20", "heat: 20 C"),
        ("heat: 20", "heat: 900"),
        ("heat: 20", "heat: 20, mode: warm"),
        ("heat: 20", "heat: 20, power: yes please"),
        ("heat: 20", "heat: 20, locked_modes: [fan, fan]"),
        ("heat: 20", "heat: 20, changeover_delay: 10"),
        ("heat: 20", "heat: 20, occupancy: {from: \"25:00\", to: \"08:00\"}"),
        ("heat: 20", "heat: 20, limits: {heat: [17]}"),
        ("from: 2025-04-16", "from: 16.4.2025"),
        ("from: 2025-04-16", "from: 2025-04-16, days: 0"),
        ("weather:", "people: [{zone: attic, name: ann}]\nweather:"),
        ("weather:", "people: [{zone: attic, name: ann, prefers: 21, keys: [fan]}]\nweather:"),
        ("weather:", "wether: {}\nweather:"),
        ("  attic:", "  the attic:"),
        ("controls: {heat: 20, cool: 24}", "label: attic"),
    ];
    for (right, wrong) in slips {
        let text = SHORT.replace(right, wrong);
        assert_ne!(text, SHORT, "{right}");
        assert!(study(&text).is_err(), "the reader takes `{wrong}`");
        assert!(!validator.is_valid(&as_json(&text)), "the schema takes `{wrong}`");
    }
}
