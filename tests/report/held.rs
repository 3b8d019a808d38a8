//! What stands in a zone's way from outside, in its chart of a day: outdoor limits and open windows.

use setband::engine::ZoneIndex;
use setband::report::Run;
use setband::report::chart::{Beside, StripsView, group_svg, rows_svg, zone_svg};
use setband::scenario::read;
use setband::study::{Keep, simulate};

/// Outdoor air goes up a degree an hour from 6 C at midnight to 18 C at noon, and down again: 15 C at
/// 9:00, and less than 13 C from ten minutes after 17:00 on.
const HALL: &str = "\
period: {from: 2025-04-16, days: 2, step: 10 min}
weather: {hours: [6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 17, 16, 15, 14, 13, 12, 11, 10, 9, 8, 7]}
zones:
  hall:
    space: {floor: 60 m2, start: 20}
    unit: {heating: 4 kW, cooling: 4 kW}
    controls: {heat: 20, cool: 24, outdoor_limits: {heat_below: 15, hysteresis: 2}}
actions:
  - {at: \"10:00\", zone: hall, window: open}
  - {at: \"10:30\", zone: hall, window: closed}
  - {at: \"d2 23:00\", zone: hall, window: open}
";

/// What is drawn of the run of a text.
fn drawn<T>(text: &str, draw: impl FnOnce(&Run<'_>) -> T) -> T {
    let model = read(text, "hall.yaml", &|_| Err(String::new())).expect("right").base;
    let finished = simulate(&model, Keep::Steps);
    let run = Run {
        model: &model,
        rows: &finished.rows,
        ledger: &finished.ledger,
        summary: &finished.summary,
    };
    draw(&run)
}

fn chart(text: &str, day: Option<i64>) -> String {
    drawn(text, |run| {
        zone_svg(run, ZoneIndex::new(0), day, 900, Beside::default()).expect("a chart")
    })
}

#[test]
fn charts_mark_what_limits_do_not_allow_and_when_windows_are_open() {
    let first = chart(HALL, Some(0));
    assert!(first.contains("Outdoor limits did not allow heating for 8.2 h."), "{first}");
    assert!(first.contains("A window was open for 30 min."), "{first}");
    for layer in ["not-allowed", "open-window"] {
        assert!(first.contains(&format!("class=\"{layer}\"")), "{layer}: {first}");
    }
    assert!(first.contains("no heating: 8.2 h") && !first.contains("no cooling"), "{first}");
    // The hysteresis goes on from the day before, and who leaves a window open has it open to the end.
    let second = chart(HALL, Some(1));
    assert!(second.contains("did not allow heating for 8.2 h."), "{second}");
    assert!(second.contains("A window was open for 1 h."), "{second}");
    let whole = chart(HALL, None);
    assert!(whole.contains("did not allow heating for 16.3 h."), "{whole}");
}

#[test]
fn charts_without_limits_and_windows_are_what_they_were() {
    let plain = HALL.replace(", outdoor_limits: {heat_below: 15, hysteresis: 2}", "");
    let plain = plain.split("actions:").next().expect("a head");
    let chart = chart(plain, Some(0));
    for absent in ["not-allowed", "open-window", "Outdoor limits", "A window"] {
        assert!(!chart.contains(absent), "{absent}");
    }
}

/// Strips of many rooms have no room for rows of their own: lines and boxes in them, said below.
#[test]
fn small_strips_draw_limits_and_windows_and_say_what_they_mean() {
    let text = HALL.replace("hysteresis: 2}", "cool_above: 12, hysteresis: 2}").replace(
        "actions:",
        "  attic:\n    space: {floor: 20 m2, start: 20}\n    unit: {heating: 2 kW}\n    controls: {heat: 20, cool: 25, mode: heat}\nactions:",
    );
    let of = |text: &str| {
        drawn(text, |run| {
            let rows = rows_svg(run, 0, 700, 24).expect("rows");
            (group_svg(run, 400, &StripsView::default()).expect("strips"), rows.zones)
        })
    };
    let (strips, rows) = of(&text);
    let words = "line along the top: no heating allowed, dotted line: no cooling allowed, dotted box: \
                 window open";
    assert!(strips.contains(words), "{strips}");
    for layer in ["no-heating", "no-cooling", "open-window"] {
        let class = format!("class=\"{layer}\"");
        assert_eq!(strips.matches(&class).count(), 1, "{layer}: the attic has none");
        assert!(rows[0].contains(&class) && !rows[1].contains(&class), "{layer}");
    }
    let plain = HALL.replace(", outdoor_limits: {heat_below: 15, hysteresis: 2}", "");
    let (strips, _) = of(plain.split("actions:").next().expect("a head"));
    assert!(!strips.contains("no heating allowed") && !strips.contains("held-words"), "{strips}");
}
