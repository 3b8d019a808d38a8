//! Rules 15 to 17 on the sheet: outdoor limits, window contacts, setpoints that go back.

use super::*;

/// Outdoor limits, window contacts and setpoints that go back have lines of their own, and other
/// values of them fail one.
#[test]
fn rules_15_to_17_have_lines_that_other_settings_fail() {
    let plain = "heat: 20, cool: 23, min_deadband: 2, limits: {heat: [17, 24], cool: [20, 28]}";
    let model = zone(&format!(
        "{plain}, outdoor_limits: {{heat_below: 18, cool_above: 12}}, window_contact: {{acts_after: \
         3 min, does: off}}, return_at: [\"12:00\"], return_to: {{heat: 20, cool: 23}}"
    ));
    let with_limits = sheet(&model, Conditions::default()).expect("a sheet");
    let hidden = uncaught(&with_limits);
    for key in [
        "outdoor_limits.heat_below",
        "outdoor_limits.cool_above",
        "outdoor_limits.hysteresis",
        "window_contact.acts_after",
        "window_contact.does",
        "return_at",
    ] {
        assert!(!hidden.contains(&key), "{key} of {hidden:?}");
        let tried = variations(&model).iter().any(|it| it.entry.key.path.ends_with(key));
        assert!(tried, "{key}");
    }
    let proved = |sheet: &Sheet, wanted: Proven| {
        sheet.steps.iter().any(|step| step.proves.contains(&wanted))
    };
    for direction in Direction::BOTH {
        for wanted in [
            Proven::OutdoorStops(direction),
            Proven::OutdoorAgain(direction),
            Proven::WindowActs(direction),
        ] {
            assert!(proved(&with_limits, wanted), "{wanted:?}");
        }
    }
    assert!(proved(&with_limits, Proven::GoesBack));
    assert_eq!(first_failure(&model, &with_limits.rooms, &with_limits.steps), None);
    // Where limits leave a gap, the changeover has to wait for the weather.
    let gap = zone(&format!("{plain}, outdoor_limits: {{heat_below: 12, cool_above: 18}}"));
    let gap = written(&gap);
    assert!(gap.deferred.iter().any(|it| it.part == Part::Changeover));
    let until = |word: &str| {
        let model = zone(&format!(
            "{plain}, occupancy: {{from: \"08:00\", to: \"18:00\"}}, setback: {{heat: 1, cool: 1, \
             override_until: {word}}}"
        ));
        sheet(&model, Conditions::default()).expect("a sheet")
    };
    let change = until("change");
    assert!(!uncaught(&change).contains(&"setback.override_until"));
    assert!(proved(&change, Proven::OverrideEnds(Direction::Heating)));
    let midnight = until("end_of_day");
    assert!(midnight.deferred.iter().any(|it| it.part == Part::Unoccupied));
}

/// The outdoor unit's limits hold for its zones, so that their sheet shows each of them.
#[test]
fn other_outdoor_limits_of_a_unit_fail_a_line() {
    let room = |name: &str, heat: f64| {
        format!(
            "  {name}:\n    space: {{floor: 60 m2}}\n    unit: {{heating: 6 kW, cooling: 5 kW}}\n    \
             controls: {{heat: {heat}, cool: 23, min_deadband: 2, limits: {{heat: [17, 24], cool: \
             [20, 28]}}}}\n"
        )
    };
    let model = model(&format!(
        "period: {{from: 2025-04-16}}\nweather: {{design_day: {{high: 18, range: 11}}}}\noutdoor_unit:\n  \
         heating: [{{outdoor: 7, capacity: 12 kW, cop: 3.5}}]\n  cooling: [{{outdoor: 35, capacity: 12 \
         kW, cop: 3.5}}]\n  outdoor_limits: {{heat_below: 18, cool_above: 12, hysteresis: 1}}\nzones:\n\
         {}{}",
        room("hall", 20.0),
        room("shop", 20.5)
    ));
    let sheet = sheet(&model, Conditions::default()).expect("a sheet");
    let changed = |key: &str| {
        let all = variations(&model);
        all.iter().filter(|it| it.path == format!("outdoor_unit.outdoor_limits.{key}")).count()
    };
    // A degree either way and none; of the hysteresis a degree more.
    assert_eq!(["heat_below", "cool_above", "hysteresis"].map(changed), [3, 3, 1]);
    let hidden = sheet.unseen.iter().filter(|it| it.path.contains("outdoor_limits"));
    let hidden: Vec<_> = hidden.map(|it| (&it.path, &it.to)).collect();
    assert!(hidden.is_empty(), "{hidden:?}");
}
