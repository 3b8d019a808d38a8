//! Where the values of a scenario file stand in its text, for commands that point at them.

use setband::scenario::{Study, read};

const TEXT: &str = "\
title: Kiln
period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
outdoor_units:
  yard:
    zones: [kiln, shop]
    heating: [{outdoor: 8, capacity: 9 kW, cop: 3.5}]
zones:
  kiln:
    space: {floor: 40 m2, neighbours: {shop: 5 W/K}}
    unit: {heating: 3 kW, modes: [heat, fan]}
    controls:
      heat: 20
      cool: 24
      limits: {heat: [15, 25]}
      occupancy: {from: \"08:00\", to: \"18:00\"}
  shop:
    space: {floor: 20 m2}
    unit: {heating: 3 kW}
    controls: {heat: 20, cool: 24}
actions:
  - {at: \"08:00\", zone: kiln, press: warmer}
  - {at: \"09:00\", zone: shop, role: technician, set: {owner: shop}}
tariff: {price: 0.2}
variants:
  wide: {zones.*.controls.min_deadband: 4, zones.kiln.controls.limits.heat: [15, 22]}
";

fn study(text: &str) -> Study {
    read(text, "kiln.yaml", &|_| Err("no files here".into()))
        .unwrap_or_else(|faults| panic!("{faults}"))
}

/// The text from the place of a path on.
fn at(path: &str) -> &'static str {
    let (line, column) = study(TEXT).place(path).unwrap_or_else(|| panic!("no place of {path}"));
    let line = TEXT.lines().nth(line as usize - 1).expect("a line of the file");
    &line[column as usize - 1..]
}

#[test]
fn a_path_leads_to_its_value() {
    for (path, begins) in [
        ("title", "Kiln"),
        ("period.from", "2025-04-16"),
        ("zones.kiln.controls.heat", "20"),
        ("zones.kiln.controls.limits.heat", "[15"),
        ("zones.kiln.controls.limits.heat[1]", "25"),
        ("zones.kiln.unit.modes[1]", "fan"),
        ("zones.kiln.space.neighbours.shop", "5 W/K"),
        ("zones.shop.controls.cool", "24"),
        ("outdoor_units.yard.zones[1]", "shop]"),
        ("outdoor_units.yard.heating[0].cop", "3.5"),
        ("actions[1].set.owner", "shop"),
        ("tariff.price", "0.2"),
        // One where a list may stand.
        ("zones.kiln.controls.occupancy.to", "\"18:00\""),
        ("variants.wide", "{zones.*"),
        ("variants.wide.zones.*.controls.min_deadband", "4"),
        ("variants.wide.zones.kiln.controls.limits.heat", "[15, 22]"),
    ] {
        assert!(at(path).starts_with(begins), "{path}: {}", at(path));
    }
}

#[test]
fn what_is_left_out_is_found_at_the_nearest_block_around_it() {
    for (path, begins) in [
        ("seed", "title: Kiln"),
        ("zones.shop.controls.min_deadband", "{heat: 20, cool: 24}"),
        ("zones.shop.controls.limits.cool[1]", "{heat: 20, cool: 24}"),
        ("zones.kiln.controls.limits.cool", "{heat: [15, 25]}"),
        ("zones.kiln.controls.setback.override_time", "heat: 20"),
        ("outdoor_units.yard.backup.after", "zones: [kiln"),
        ("actions[0].role", "{at: \"08:00\""),
        ("", "title: Kiln"),
    ] {
        assert!(at(path).starts_with(begins), "{path}: {}", at(path));
    }
}

#[test]
fn what_does_not_exist_has_no_place() {
    let study = study(TEXT);
    for path in [
        "zone.kiln",
        "zones.oven.controls.heat",
        "zones.kiln.controls.heat.low",
        "zones.kiln.controls.warmth",
        "zones.kiln.controls.setback.warmth",
        "zones.*.controls.heat",
        "actions[2].at",
        "actions[x]",
        "actions[0",
        "actions.at",
        "zones..kiln",
        "outdoor_unit.heating[0]",
        "variants.narrow",
        "variants.wide.zones.kiln.controls.heat",
        "]",
        ".",
    ] {
        assert_eq!(study.place(path), None, "{path}");
    }
}

/// Faults and places speak of the same paths.
#[test]
fn the_path_of_a_fault_leads_to_where_the_fault_was() {
    let wrong = TEXT.replace("cool: 24}\n", "cool: 20.2}\n").replace("3 kW, modes", "1 W, modes");
    let faults = read(&wrong, "kiln.yaml", &|_| Err(String::new())).expect_err("two faults");
    assert_eq!(faults.count(), 2);
    let right = study(TEXT);
    for fault in faults.as_slice() {
        assert_eq!(right.place(&fault.path), Some((fault.line, fault.column)), "{}", fault.path);
    }
}
