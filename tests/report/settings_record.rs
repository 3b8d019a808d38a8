//! The settings as a record in plain words, and where two studies differ.

use setband::engine::Model;
use setband::report::{Setting, SettingsBlock, assumptions, settings_record};
use setband::scenario;

const FILE: &str = "period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
outdoor_unit:
  owner: hall
  heating: [{outdoor: 7, capacity: 9 kW, cop: 3.5}]
  cooling: [{outdoor: 35, capacity: 9 kW, cop: 3.5}]
zones:
  hall:
    label: Hall
    space: {floor: 60 m2}
    unit: {heating: 4 kW, cooling: 4 kW}
    controls:
      heat: 20
      cool: 24
      min_deadband: 2
      limits: {heat: [17, 24], cool: [19, 25]}
      locked_modes: [fan, dry]
      controllers:
        - {id: desk, primary: true, key_locks: {keys: [mode, fan], in_force: true}}
        - {id: window, key_locks: {keys: [setpoint], in_force: false}}
      occupancy: {from: \"08:30\", to: \"18:30\", days: [mon, tue, wed, thu, fri]}
      setback: {heat: 3, cool: 2}
      low_limit: 7
  attic:
    space: {floor: 20 m2}
    unit: {heating: 2 kW, cooling: 2 kW}
    controls: {heat: 19.5, cool: 24}
variants:
  wide: {zones.hall.controls.min_deadband: 3, outdoor_unit.mode_policy: majority}
";

fn models() -> Vec<Model> {
    let open = |_: &str| Err("no files here".to_owned());
    let study = scenario::read(FILE, "hall.yaml", &open).unwrap_or_else(|it| panic!("{it}"));
    let variants = study.variants.into_iter().filter_map(|(_, model)| model.ok());
    std::iter::once(study.base).chain(variants).collect()
}

fn value<'a>(blocks: &'a [SettingsBlock], subject: &str, name: &str) -> &'a Setting {
    let block = blocks.iter().find(|block| block.subject == subject).expect("a block");
    block.settings.iter().find(|setting| setting.name == name).expect("a setting")
}

#[test]
fn the_record_says_in_words_what_the_file_sets() {
    let models = models();
    let blocks = settings_record(&[&models[0]]);
    let said = |name| value(&blocks, "Hall", name).values[0].clone().expect("it has one");
    assert_eq!(said("Heat setpoint"), "20 °C");
    assert_eq!(said("Minimum deadband"), "2 °C");
    assert_eq!(said("Heat limits"), "17 to 24 °C; the deadband leaves 17 to 23 °C");
    assert_eq!(said("Cool limits"), "19 to 25 °C");
    assert_eq!(said("Modes locked for occupants"), "dry and fan");
    assert_eq!(said("Controllers"), "desk (primary) and window");
    assert_eq!(
        said("Key locks"),
        "desk: mode and fan, in force; window: setpoint, saved but not in force"
    );
    assert_eq!(said("Occupied"), "Mon to Fri 08:30 to 18:30");
    assert_eq!(said("Mode owner"), "this zone, for all on its outdoor unit");
    assert!(said("Setback").starts_with("heat 3 °C lower"), "{}", said("Setback"));
    let attic = value(&blocks, "attic", "Mode owner").values[0].clone();
    assert_eq!(attic.as_deref(), Some("follows Hall"));
}

#[test]
fn models_differ_where_their_settings_do_and_nowhere_else() {
    let models = models();
    let blocks = settings_record(&[&models[0], &models[1]]);
    let mut differing = Vec::new();
    for block in &blocks {
        let names = block.settings.iter().filter(|setting| setting.differs());
        differing.extend(names.map(|setting| format!("{} {}", block.subject, setting.name)));
    }
    assert_eq!(
        differing,
        [
            "Hall Minimum deadband",
            "Hall Heat limits",
            "Hall Cool limits",
            "Hall Mode owner",
            "attic Mode owner",
            "Outdoor unit Who decides",
            "Outdoor unit With the owner switched off",
            "Outdoor unit Changeover delay of the group",
        ]
    );
}

#[test]
fn a_zone_that_only_one_file_has_leaves_a_gap_in_the_others() {
    let models = models();
    let mut smaller = models[0].clone();
    smaller.zones.truncate(1);
    smaller.outdoor_units.clear();
    let blocks = settings_record(&[&smaller, &models[0]]);
    let attic = value(&blocks, "attic", "Cool setpoint");
    assert_eq!(attic.values, [None, Some("24 °C".to_owned())]);
    assert!(attic.differs());
}

#[test]
fn assumptions_name_days_weather_prices_and_the_model() {
    let text = FILE.replace(
        "variants:",
        "tariff: {price: [{from: \"07:00\", to: \"19:00\", days: [mon, tue, wed, thu, fri], price: \
         0.3}, {price: 0.2}], currency: crowns, carbon: 0.4 kg/kWh, demand: {price: 9}}\nvariants:",
    );
    let open = |_: &str| Err("no files here".to_owned());
    let study = scenario::read(&text, "hall.yaml", &open).unwrap_or_else(|it| panic!("{it}"));
    let said = assumptions(&study.base).join("\n");
    for words in [
        "Wednesday 16 April 2025, in steps of 1 min",
        "between 7 and 18 °C",
        "0.3 crowns/kWh Mon to Fri 07:00 to 19:00, 0.2 crowns/kWh always",
        "9 crowns for each kW",
        "0.4 kg/kWh at all times",
        "no promise",
    ] {
        assert!(said.contains(words), "{words} is missing: {said}");
    }
    let plain = assumptions(&models()[0]).join("\n");
    assert!(plain.contains("No prices are given"), "{plain}");
}

/// Each with what brings it about, and gone without.
#[test]
fn assumptions_name_what_equipment_contacts_and_clocks_are_taken_to_do() {
    let hall = "setback: {heat: 3, cool: 2}\n";
    let unit = "    unit: {heating: 4 kW, cooling: 4 kW}\n";
    let outdoor = "  owner: hall\n";
    let add = |more: &str| format!("{hall}      {more}\n");
    let open = |_: &str| Err("no files here".to_owned());
    let said = |text: &str| {
        let study = scenario::read(text, "hall.yaml", &open);
        assumptions(&study.unwrap_or_else(|it| panic!("{it}")).base).join("\n")
    };
    let plain = said(FILE);
    for always in [
        "rises with a time constant of 76 s (Henderson and Rengarajan 1996)",
        "asked for less than 15 % of its capacity cycles",
        "delivers nothing for 3 min and draws 30 % of its power",
        "a lag: those in rooms 6 min",
        "ISO 7730:2005, standard effective temperature after ANSI/ASHRAE 55-2020, adaptive bands",
    ] {
        assert!(plain.contains(always), "{always} is missing: {plain}");
    }
    for (place, instead, words) in [
        (hall, add("outdoor_limits: {heat_below: 18}"), "Outdoor limits go by the weather's own"),
        (outdoor, format!("{outdoor}  outdoor_limits: {{cool_above: 12}}\n"), "Outdoor limits go by"),
        (
            hall,
            add("window_contact: {does: off}"),
            "air 4 times an hour besides infiltration, whatever the wind and the temperatures \
             (common practice, no source). Nobody opens one during these days. Contacts see each \
             opening at once",
        ),
        (
            "variants:\n",
            "actions: [{at: \"10:00\", zone: attic, window: open}]\nvariants:\n".into(),
            "whatever the wind and the temperatures (common practice, no source).\n",
        ),
        (
            hall,
            add("return_at: [\"12:00\"]\n      return_to: {heat: 20}"),
            "go back by the clock do so as a request of the schedule",
        ),
        (
            unit,
            "    unit: {heating: 4 kW, cooling: 4 kW, control: staged, stages: [0.5, 1]}\n".into(),
            "Output: stages come on by the sensed temperature alone",
        ),
        (
            unit,
            "    unit: {heating: 4 kW, cooling: 4 kW, integral_time: 20 min, reach_lowest: 10 min}\n"
                .into(),
            "Output: integral action begins at nothing with each call",
        ),
        (
            unit,
            "    unit: {heating: 4 kW, cooling: 4 kW, reach_lowest: 10 min}\n".into(),
            "lowest output up to 10 min after its start",
        ),
        (hall, add("sensor: {place: return_air}"), "6 min and those in return air 1 min"),
        (outdoor, "  simultaneous: true\n".into(), "does the larger work of the two sides"),
        (
            outdoor,
            format!("{outdoor}  defrost: {{below: 5, above: -10, every: 60 min, lasts: 4 min}}\n"),
            "Defrosting: between -10 and 5 °C outdoors nothing is heated for 4 min in every 1 h of",
        ),
        (
            "variants:\n",
            "people: [{zone: hall, name: clerk, prefers: usual}]\nvariants:\n".into(),
            "(ASHRAE Global Thermal Comfort Database II, Foldvary Licina and others 2018; fitted",
        ),
        (
            "    space: {floor: 60 m2}\n",
            "    space: {floor: 60 m2}\n    comfort: {clo: {winter: 1.0, summer: 0.6}}\n".into(),
            "goes by the running mean outdoors",
        ),
    ] {
        assert_eq!(FILE.matches(place).count(), 1, "{place}");
        let with = said(&FILE.replace(place, &instead)) + "\n";
        assert!(with.contains(words), "{words} is missing: {with}");
        assert!(!plain.contains(words), "{words} is said without: {plain}");
    }
}
