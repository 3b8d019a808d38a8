//! Outdoor units in scenario files: what they are read as, and where zones start on them.

#![expect(clippy::float_cmp, reason = "what is read and not computed is exact")]

use approx::assert_relative_eq;
use setband::control::{ModePolicy, OwnerOff, Sharing, Side};
use setband::direction::Direction;
use setband::engine::{Doing, Entry, Model, Zone};
use setband::scenario::{Faults, Study, VariantFault, read, schema};
use setband::study::{Keep, simulate};
use setband::time::Seconds;

const GROUP: &str = include_str!("../good/group.yaml");

/// Two zones on one outdoor unit that gives only what it must.
const PAIR: &str = "\
period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
outdoor_unit:
  heating: [{outdoor: 8, capacity: 9 kW, cop: 3.5}]
  cooling: [{outdoor: 30, capacity: 9 kW, cop: 3.5}]
zones:
  east: {space: {floor: 40 m2}, unit: {heating: 3 kW, cooling: 3 kW}, controls: {heat: 20, cool: 24}}
  west: {space: {floor: 40 m2}, unit: {heating: 3 kW, cooling: 3 kW}, controls: {heat: 20, cool: 24}}
";

fn study(text: &str) -> Result<Study, Faults> {
    read(text, "group.yaml", &|_| Err("no files here".into()))
}

fn right(text: &str) -> Model {
    study(text).unwrap_or_else(|faults| panic!("{faults}")).base
}

fn codes(text: &str) -> Vec<&'static str> {
    let faults = study(text).expect_err("must be refused");
    faults.as_slice().iter().map(|fault| fault.code).collect()
}

#[test]
fn every_key_of_an_outdoor_unit_arrives() {
    let model = right(GROUP);
    let north = &model.outdoor_units[0];
    assert_eq!((north.id.as_str(), north.label.as_str()), ("north", "North side"));
    // Members stand in the order of the zones in the file, not of the list.
    assert_eq!(north.zones.iter().map(|zone| zone.get()).collect::<Vec<_>>(), [0, 1, 2]);
    assert_eq!(north.direction, Direction::Cooling);
    let sharing = Sharing::SingleMode {
        policy: ModePolicy::Owner,
        owner: 0,
        owner_off: OwnerOff::Stop,
        changeover_delay: Seconds::minutes(12),
    };
    assert_eq!((north.settings.sharing, north.settings.min_off), (sharing, Seconds::minutes(5)));
    let unit = &north.unit;
    let heating = unit.heating.as_ref().expect("given").points();
    assert_relative_eq!(heating[0].outdoor, -10.0, epsilon = 1e-12);
    // 30 kBtu/h with 1 Btu = 1055.05585 J.
    assert_relative_eq!(heating[0].capacity, 30e3 * 1_055.055_85 / 3600.0, epsilon = 1e-6);
    assert_eq!((heating[0].cop, heating[1].capacity), (2.2, 12e3));
    assert_eq!(unit.cooling.as_ref().map(|table| table.points().len()), Some(2));
    assert_relative_eq!(unit.part_load.as_ref().expect("given").at(0.65), 0.95, epsilon = 1e-12);
    assert_eq!((unit.simultaneous, unit.lowest_output, unit.standby), (false, 0.2, 45.0));
    assert_eq!((unit.reversal_time, unit.min_off), (Seconds::minutes(4), Seconds::minutes(5)));
    assert_relative_eq!(unit.heating_lockout.expect("given"), -20.0, epsilon = 1e-12);
    assert_relative_eq!(unit.cooling_lockout.expect("given"), 45.0, epsilon = 1e-12);
    let defrost = unit.defrost.expect("given");
    assert_relative_eq!(defrost.from, -5.0, epsilon = 1e-12);
    assert_relative_eq!(defrost.to, 5.0, epsilon = 1e-12);
    assert_eq!((defrost.capacity, defrost.cop), (0.9, 0.85));
    let backup = unit.backup.expect("given");
    assert_eq!((backup.capacity, backup.after), (2000.0, Some(Seconds::minutes(30))));
    assert_relative_eq!(backup.allowed_below.expect("given"), -5.0, epsilon = 1e-12);
    assert_eq!(model.outdoor_units[1].settings.sharing, Sharing::Simultaneous);
}

#[test]
fn defaults_of_an_outdoor_unit() {
    let model = right(PAIR);
    let [group] = &model.outdoor_units[..] else { panic!("one group") };
    assert_eq!((group.id.as_str(), group.zones.len()), ("outdoor_unit", 2));
    assert_eq!(group.direction, Direction::Heating);
    let sharing = Sharing::SingleMode {
        policy: ModePolicy::Owner,
        owner: 0,
        owner_off: OwnerOff::Hold,
        changeover_delay: Seconds::minutes(10),
    };
    assert_eq!((group.settings.sharing, group.settings.min_off), (sharing, Seconds::minutes(3)));
    let unit = &group.unit;
    assert_eq!((unit.simultaneous, unit.standby, unit.lowest_output), (false, 0.0, 0.15));
    assert_eq!((unit.reversal_time, unit.min_off), (Seconds::minutes(3), Seconds::minutes(3)));
    assert_eq!((unit.heating_lockout, unit.cooling_lockout), (None, None));
    assert_eq!((&unit.part_load, unit.defrost, unit.backup), (&None, None, None));
}

#[test]
fn spells_of_defrosting_are_read_beside_a_band() {
    let with = |defrost: &str| {
        let text =
            PAIR.replacen("outdoor_unit:\n", &format!("outdoor_unit:\n  defrost: {defrost}\n"), 1);
        assert_ne!(text, PAIR);
        read(&text, "pair.yaml", &|_| Err(String::new()))
    };
    let unit = |defrost: &str| {
        with(defrost).unwrap_or_else(|faults| panic!("{faults}")).base.outdoor_units[0].unit.clone()
    };
    let usual = unit("{below: 4}").defrost_cycle.expect("spells");
    assert_eq!((usual.below, usual.above, usual.from_store), (4.0, -10.0, false));
    assert_eq!((usual.every, usual.lasts), (Seconds::minutes(60), Seconds::minutes(4)));
    let stored = unit("{every: 90 min, lasts: 6 min, from: store}").defrost_cycle.expect("spells");
    assert_eq!((stored.below, stored.from_store), (5.0, true));
    let band = unit("{from: -5, to: 5, capacity: 0.9, cop: 0.8}");
    assert!(band.defrost.is_some() && band.defrost_cycle.is_none());
    for (wrong, code) in [
        ("{below: 4, to: 5}", "two-defrosts"),
        ("{below: 4, from: -5}", "two-defrosts"),
        ("{below: -12}", "crossed"),
        ("{from: -5, to: 5, cop: 0.8}", "missing-key"),
    ] {
        let faults = with(wrong).expect_err("something is wrong");
        let codes: Vec<&str> = faults.as_slice().iter().map(|fault| fault.code).collect();
        assert!(codes.contains(&code), "{wrong}: {codes:?}");
    }
}

#[test]
fn in_a_group_the_compressor_has_the_timer_unless_the_file_gives_the_unit_one() {
    let min_off = |zone: &Zone| zone.controls.thermostat.min_off;
    let timers: Vec<Seconds> = right(GROUP).zones.iter().map(min_off).collect();
    let [none, two, three] = [0, 2, 3].map(Seconds::minutes);
    assert_eq!(timers, [none, none, two, none, three]);
}

#[test]
fn one_setpoint_starts_on_the_side_that_is_active_in_the_group() {
    let start = |zone: &Zone| {
        let controls = &zone.controls;
        (controls.settings.grid.value(controls.start.setpoints.heat()), controls.ignored_start)
    };
    let zones = right(GROUP).zones;
    // The owner cools, so the kitchen follows into cooling although its own mode is heat.
    assert_eq!(start(&zones[1]), (74.0, Some((Side::Heat, 66.0))));
    // A simultaneous unit leaves each zone its own direction.
    assert_eq!(start(&zones[3]), (66.0, Some((Side::Cool, 74.0))));
    let pair = |extra: &str| {
        let single = PAIR.replacen("cool: 24}}", "cool: 24, min_deadband: 0}}", 1);
        start(
            &right(&single.replace("outdoor_unit:\n", &format!("outdoor_unit:\n{extra}"))).zones[0],
        )
    };
    // The group's direction counts where the policy knows no owner and the mode leaves it open.
    assert_eq!(pair("  direction: cooling\n").0, 20.0);
    assert_eq!(pair("  direction: cooling\n  mode_policy: majority\n").0, 24.0);
    // So it does for a zone that is alone on its unit.
    let lone = "  direction: cooling\n  mode_policy: first_call\n  zones: [east]\n";
    assert_eq!(pair(lone).0, 24.0);
    assert_eq!(pair("  direction: cooling\n  zones: [east]\n").0, 20.0);
}

/// Rule 10: what people do at the first step meets the group's own direction where no owner gives
/// one, also for a zone that is alone on its unit.
#[test]
fn a_press_at_the_first_step_meets_the_direction_of_the_group() {
    let moved = |extra: &str| {
        let text = PAIR.replace("outdoor_unit:\n", &format!("outdoor_unit:\n{extra}"));
        let press = "actions:\n  - {at: \"00:00\", zone: east, press: warmer}\n";
        let model = right(&format!("{text}{press}"));
        let ledger = simulate(&model, Keep::Nothing).ledger;
        let row = ledger.iter().find(|row| matches!(row.entry, Entry::Request { .. }));
        let after = row.expect("the press").after.setpoints;
        let grid = model.zones[0].controls.settings.grid;
        (grid.value(after.heat()), grid.value(after.cool()))
    };
    assert_eq!(moved(""), (20.5, 24.0));
    let cooling = "  direction: cooling\n  mode_policy: first_call\n";
    assert_eq!(moved(cooling), (20.0, 24.5));
    assert_eq!(moved(&format!("{cooling}  zones: [east]\n")), (20.0, 24.5));
    // An owner's own direction counts before the group's.
    assert_eq!(moved("  direction: cooling\n  zones: [east]\n"), (20.5, 24.0));
}

#[test]
fn a_technician_may_change_policy_and_owner() {
    let model = right(GROUP);
    let Doing::Set(change) = &model.actions[0].what else { panic!("a change of settings") };
    assert_eq!(change.group.policy, Some(ModePolicy::LargestError));
    assert_eq!(change.group.owner, Some(1));
    assert_eq!(change.words, "mode_policy largest_error, owner kitchen");
}

#[test]
fn variants_reach_into_outdoor_units() {
    let study = study(GROUP).unwrap_or_else(|faults| panic!("{faults}"));
    let fair = study.variant("fair").expect("right").outdoor_units[0].settings;
    assert_eq!((fair.owner(), study.base.outdoor_units[0].settings.owner()), (None, Some(0)));
    let both = study.variant("both").expect("right").outdoor_units[0].settings;
    assert_eq!(both.sharing, Sharing::Simultaneous);
}

#[test]
fn variants_mend_and_break_outdoor_units() {
    let variants = "variants:
  warm: {outdoor_unit.heating: [{outdoor: 0, capacity: 5 kW, cop: 2}]}
  backed: {outdoor_unit.backup.capacity: 2 kW, outdoor_unit.backup.after: 20 min}
  never: {outdoor_unit.backup.capacity: 2 kW}
  ideal: {zones.*.unit.control: ideal}
  two: {outdoor_units.yard.zones: [east]}
";
    let study = study(&format!("{PAIR}{variants}")).unwrap_or_else(|faults| panic!("{faults}"));
    let warm = &study.variant("warm").expect("right").outdoor_units[0].unit;
    assert_eq!(warm.heating.as_ref().expect("given").at(8.0), (5e3, 2.0));
    let backed = study.variant("backed").expect("right").outdoor_units[0].unit.backup;
    assert_eq!(backed.expect("given").after, Some(Seconds::minutes(20)));
    let first = |name: &str| match study.variant(name) {
        Err(VariantFault::Faulty(faults)) => faults.as_slice()[0].code,
        other => panic!("{name}: {other:?}"),
    };
    assert_eq!(
        ["never", "ideal", "two"].map(first),
        ["missing-key", "ideal-in-group", "unknown-path"]
    );
}

#[test]
fn a_unit_that_only_heats_takes_zones_that_only_heat() {
    let heating = PAIR
        .replace("  cooling: [{outdoor: 30, capacity: 9 kW, cop: 3.5}]\n", "")
        .replace("unit: {heating: 3 kW, cooling: 3 kW}", "unit: {heating: 3 kW}");
    assert_eq!(right(&heating).outdoor_units[0].unit.cooling, None);
    let one_cools = heating.replacen("unit: {heating: 3 kW}", "unit: {cooling: 3 kW}", 1);
    assert_eq!(codes(&one_cools), ["no-table"]);
}

#[test]
fn the_efficiency_of_a_unit_in_a_group_is_read_and_not_missed() {
    let text = PAIR.replacen("cooling: 3 kW}", "cooling: 3 kW, cop: {heating: 4}}", 1);
    let heating = right(&text).zones[0].unit.heating.clone();
    assert_eq!(heating.map(|heating| heating.cop), Some(4.0.into()));
}

#[test]
fn faults_of_an_owner_are_told_once_and_not_blamed_on_its_followers() {
    let text = PAIR
        .replacen("heat: 20", "heat: 20.2", 1)
        .replace("cool: 24}}\n", "cool: 24, min_deadband: 0, limits: {cool: [21, 30]}}}\n");
    assert_eq!(codes(&text), ["off-step"]);
}

#[test]
fn groups_are_bounded() {
    let zone = |at: usize| {
        format!(
            "  z{at}: {{space: {{floor: 40 m2}}, unit: {{heating: 3 kW}}, controls: {{heat: 20, cool: 24}}}}\n"
        )
    };
    let with = |count: usize| {
        let head = PAIR.split("zones:").next().expect("a head");
        format!("{head}zones:\n{}", (0..count).map(zone).collect::<String>())
    };
    assert_eq!(right(&with(64)).outdoor_units[0].zones.len(), 64);
    assert_eq!(codes(&with(65)), ["outdoor-units"]);
}

#[test]
fn the_schema_takes_groups() {
    let validator = jsonschema::draft202012::new(&schema()).expect("a schema");
    for text in [GROUP, PAIR] {
        let value: serde_json::Value = serde_yaml::from_str(text).expect("YAML");
        let errors: Vec<String> =
            validator.iter_errors(&value).map(|error| error.to_string()).collect();
        assert_eq!(errors, Vec::<String>::new());
    }
    let slip = PAIR.replace("outdoor: 8", "outside: 8");
    assert!(!validator.is_valid(&serde_yaml::from_str(&slip).expect("YAML")));
    assert_eq!(codes(&slip), ["missing-key", "unknown-key"]);
}
