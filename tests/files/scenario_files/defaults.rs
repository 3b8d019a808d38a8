//! What stands where a file leaves a key out.

use setband::plant::StartUp;

use super::*;

#[test]
fn people_have_defaults_in_both_units() {
    let one = "people: [{zone: attic, name: ann, prefers: 21}]\n";
    let ann = short_with(one).people.remove(0);
    assert_eq!((ann.taste.tolerance, ann.complaining.kelvin_per_vote), (1.0, 3.0));
    assert_eq!(ann.patience, Patience::About { mean: Seconds::minutes(20), spread: 0.5 });
    assert_eq!((ann.taste.spread, ann.taste.varies, ann.gives_up_rate), (0.0, 0.0, 0.0));
    assert_eq!((ann.attendance.spans, ann.attendance.absent), (vec![Span::ALWAYS], 0.0));
    assert_eq!((ann.attendance.away, ann.switching), (None, Switching::Never));
    assert_eq!(ann.keys, UsedKeys { setpoint: true, mode: false, power: false });
    assert_eq!((ann.presses, ann.gives_up_after, ann.heat.sensible), (1, Some(5), 0.0));
    assert_eq!((ann.complaining.after, ann.complaining.rate), (Seconds::minutes(30), 1.0));
    let text =
        SHORT.replace("heat: 20, cool: 24", "heat: 68, cool: 75").replace("high: 18", "high: 64");
    let read = right(&format!("temperature: F\n{text}{}", one.replace("21", "71.6")));
    let ann = &read.base.people[0];
    assert_relative_eq!(ann.taste.prefers, 22.0, epsilon = 1e-9);
    assert_relative_eq!(ann.taste.tolerance, 10.0 / 9.0, epsilon = 1e-9);
    assert_relative_eq!(ann.complaining.kelvin_per_vote, 3.0, epsilon = 1e-9);
}

#[test]
fn usual_people_are_those_that_were_measured_but_for_what_the_file_writes() {
    let one = |keys: &str| {
        short_with(&format!("people: [{{zone: attic, name: ann, prefers: usual{keys}}}]\n"))
            .people
            .remove(0)
    };
    assert_eq!((one("").taste, one("").patience), (Taste::USUAL, Patience::Rate(USUAL_PRESSES)));
    let written = one(", tolerance: 2, presses_per_hour: 0.5");
    assert_eq!(written.taste, Taste { tolerance: 2.0, ..Taste::USUAL });
    assert_eq!(written.patience, Patience::Rate(0.5));
    let both =
        "people: [{zone: attic, name: ann, prefers: 21, patience: 5 min, presses_per_hour: 1}]\n";
    let faults = study(&format!("{SHORT}{both}")).expect_err("two ways to say it");
    assert_eq!(faults.as_slice()[0].code, "idle-key");
}

#[test]
fn every_default_in_celsius() {
    let model = right(SHORT).base;
    assert_eq!((model.title.as_str(), model.seed, model.period.days()), ("attic", 1, 1));
    assert_eq!(model.period.step(), Seconds::minutes(1));
    assert_eq!((model.unit, model.humidity), (TemperatureUnit::Celsius, Humidity::Constant(50.0)));
    assert_eq!((model.site, model.tariff.clone()), (None, None));
    assert_eq!(model.sky, setband::weather::Sky::default());
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
    let unit = zone.unit.clone();
    let capacities = [unit.heating, unit.cooling].map(|it| it.expect("both are given"));
    let usual = [Cop::usual_heating(), Cop::usual_cooling()];
    assert_eq!(capacities.map(|it| (it.rated, it.cop)), usual.map(|cop| (3000.0, cop)));
    assert_eq!((unit.start_up, unit.reversal_time), (StartUp::USUAL, Seconds::minutes(3)));
    assert_eq!((unit.fan, unit.fan_run, unit.count), (0.0, FanRun::Auto, 1));
    let modulating = UnitControl::proportional(0.25, 1.0);
    assert_eq!(unit.control, modulating);
    let comfort = zone.comfort;
    assert_eq!((comfort.low, comfort.high, comfort.tolerance), (20.0, 26.0, 0.0));
    assert_eq!((comfort.met, comfort.air_speed), (1.2, 0.1));
    assert_eq!(comfort.clothing, setband::engine::Clothing::Same(0.7));
    assert_controls_by_default(&model, [0.5, 1.0, 0.5], [10.0, 30.0, 16.0, 35.0]);
    let staged = right(&SHORT.replace("cooling: 3 kW", "cooling: 3 kW, control: staged")).base;
    assert_eq!(staged.zones[0].unit.control, UnitControl::ON_OFF);
    assert_eq!(staged.zones[0].unit.start_up, StartUp::USUAL);
}

#[test]
fn every_default_in_fahrenheit() {
    let text = SHORT.replace("heat: 20, cool: 24", "heat: 68, cool: 76");
    let model = right(&format!("temperature: F\n{}", text.replace("high: 18", "high: 64"))).base;
    let zone = &model.zones[0];
    let modulating = UnitControl::proportional(0.25, 1.8);
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
    assert_eq!([grid.step(), deadband, controls.thermostat.call_start.heating], sizes);
    let written = settings.rules.limits();
    let ends = [written.heat.low, written.heat.high, written.cool.low, written.cool.high];
    assert_eq!(ends.map(|end| grid.value(end)), limits);
    assert_eq!(settings.rules.on_conflict(), OnConflict::Push);
    assert_eq!(settings.modes.as_slice(), Mode::ALL);
    assert_eq!((controls.start.mode, controls.start.power), (Mode::Auto, Power::On));
    assert_eq!(controls.direction, Direction::Heating);
    assert!(Mode::ALL.iter().all(|mode| !settings.locked_modes.has(*mode)));
    assert!(controls.thermostat.call_start.common().is_some());
    assert_eq!(controls.thermostat.call_stop, Differential::same(0.0));
    assert_eq!(controls.thermostat.changeover_delay, Seconds::minutes(10));
    assert_eq!(controls.thermostat.min_on, Seconds::ZERO);
    assert_eq!(controls.thermostat.min_off, Seconds::minutes(3));
    assert_eq!((controls.low_limit, controls.auto_off, settings.display), (None, None, None));
    assert_eq!(controls.sensor.place, SensorPlace::Room);
    assert_eq!(
        (controls.sensor.offset, controls.sensor.lag, controls.sensor.resolution),
        (0.0, Seconds::minutes(6), 0.0)
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
    for (unit, setpoints, heating, until, expected) in [
        ("C", "heat: 20, cool: 24", 2.0, 8.0, [0.0, 10.0, 35.0]),
        ("F", "heat: 68, cool: 76", 4.0, 47.0, [0.0, 50.0, 95.0]),
    ] {
        let controls = with(unit, setpoints);
        assert_eq!(controls.sensor.place, SensorPlace::ReturnAir { heating, cooling: 0.0 });
        assert_eq!(controls.low_limit.map(|limit| limit.until), Some(until));
        let grid = controls.settings.grid;
        let floors =
            controls.setback.map(|it| [it.cool, it.heat_low, it.cool_high].map(|t| grid.value(t)));
        assert_eq!(floors, Some(expected), "{unit}");
    }
    let model = short_with("tariff: {price: 0.2}\n");
    let tariff = model.tariff.expect("given");
    assert_eq!(
        (tariff.price, tariff.currency.as_str(), tariff.carbon),
        (Rate::Flat(0.2), "", None)
    );
    let sky = right(&SHORT.replace("weather: {", "weather: {clear_sky: {}, ")).base.sky.clear;
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
