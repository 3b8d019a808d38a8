//! `sheet.html`: the sheet as a page of its own, which prints.

use maud::{Markup, PreEscaped, html};

use super::Sheeted;
use super::text::unseen_by_path;
use super::words::{part_words, running_words, time_words};
use crate::control::Direction;
use crate::engine::ZoneIndex;
use crate::report::figures::{setpoint, unit_sign};
use crate::report::headline::capitalised;
use crate::report::render::html::{LINE, Words, document, list, script_json};
use crate::report::run::label;
use crate::report::settings::settings_record;
use crate::study::sheet::{Deed, Part, Reading, Step, season};

const CSS: &str = include_str!("page.css");
const SCRIPT: &str = include_str!("page.js");

/// Words that go with every test of controls on site.
const CAUTIONS: [&str; 5] = [
    "The documents of the equipment, the sequence of operation and the authority having \
     jurisdiction come first. This sheet tests settings, not safety devices.",
    "Rooms may get cold or warm while the sheet is worked through: tell the people there. Rented \
     homes and places of care have lawful minimum temperatures, which differ by place.",
    "Power off and a deep setback do not protect from freezing. Leave rooms with servers, medicines \
     or samples to systems of their own, and agree on the test beforehand.",
    "Work on refrigerant and electrical parts, the isolator among them, is for licensed persons.",
    "Afterwards set everything back and record it: the record at the end is what is to be left.",
];

/// The page: one file, no network.
pub fn sheet_page(sheeted: &Sheeted<'_>) -> String {
    let title = format!("Test sheet: {}", sheeted.model.title);
    let blanks = ["Site", "Tester", "Date", "Outdoor temperature", "Serial numbers", "Instruments"];
    let head = html! { style { (PreEscaped(CSS)) (PreEscaped(footer(&title))) } };
    let body = html! {
        h1 { (Words(&title)) }
        p.answer { (Words(&sheeted.answer())) }
        @if sheeted.plan.witness.is_none() { p { (Words(&sheeted.coverage())) } }
        @if let Some(words) = sheeted.choice_words() { p { (Words(&words)) } }
        @for (head, lines) in [
            ("Requirements", sheeted.witness_words()),
            ("Time", sheeted.times()),
            ("Left out", sheeted.left_out_words()),
        ] {
            @if !lines.is_empty() { section { h2 { (head) } (list(&lines)) } }
        }
        p.soft {
            (Sheeted::pace_words())
            @if let Some(words) = sheeted.order_words() { " " (words) }
        }
        div.blanks { @for blank in blanks { div { (blank) } } }
        (before(sheeted))
        @for part in parts(&sheeted.sheet.steps) { (table(sheeted, part)) }
        (not_shown(sheeted))
        (record(sheeted))
        script type="application/json" id="table" { (PreEscaped(values(sheeted))) }
        script { (PreEscaped(SCRIPT)) }
    };
    document(&title, &head, &body)
}

/// The sheet's title at the foot of every printed page.
fn footer(title: &str) -> String {
    let plain = |letter: &char| letter.is_alphanumeric() || " ,.:()-".contains(*letter);
    let safe: String = title.chars().filter(plain).collect();
    format!("@page {{ @bottom-left {{ content: \"{safe}\"; font-size: 8pt; }} }}")
}

/// The table to fill in, for the page's script.
fn values(sheeted: &Sheeted<'_>) -> String {
    let table = super::sheet_csv(sheeted).unwrap_or_default();
    let table = String::from_utf8_lossy(&table).into_owned();
    // Where a timer is started, when it is over, and which line is read then.
    let waits = sheeted.sheet.steps.iter().enumerate().filter_map(|(at, step)| match &step.deed {
        Deed::Wait(time) | Deed::PowerFailure(time) => {
            let start = sheeted.meanwhile(at).unwrap_or(at);
            Some(serde_json::json!({"at": start + 1, "seconds": time.get(), "line": at + 1}))
        }
        _ => None,
    });
    let waits: Vec<serde_json::Value> = waits.collect();
    let value = serde_json::json!({"csv": table, "waits": waits, "title": sheeted.model.title});
    script_json(&value.to_string())
}

fn before(sheeted: &Sheeted<'_>) -> Markup {
    let unit = unit_sign(sheeted.model.unit);
    let runs = |direction: &Direction| {
        sheeted.sheet.steps.iter().any(|step| step.part == Part::Calls(*direction))
    };
    html! {
        section {
            h2 { "Before you begin" }
            ul {
                @for (room, names) in sheeted.rooms() {
                    li {
                        "The sensor must read " b { (setpoint(room)) " " (unit) } " in "
                        (Words(&names.join(", ")))
                        ", and stay there: let the room settle, or put a source of known \
                         temperature in the sensor's place. If it reads otherwise, make the sheet \
                         again with " code { "--room" } "."
                    }
                }
                @for direction in Direction::BOTH.iter().filter(|it| runs(it)) {
                    @let season = season(sheeted.model, ZoneIndex::new(0), *direction);
                    li {
                        "Let " (direction.name()) " run for a test only when it is"
                        @if let Some(from) = season.lowest { " from " (setpoint(from)) " " (unit) }
                        @if let Some(to) = season.highest { " up to " (setpoint(to)) " " (unit) }
                        " outside."
                    }
                }
                li {
                    "Press as anyone in the room would, not with a technician's access, unless the \
                     line says so. After each line read within 10 s. What differs from the line \
                     before is bold."
                }
                @for caution in CAUTIONS { li { (caution) } }
            }
        }
        (LINE)
    }
}

/// Lines that belong together: of one part, and in one zone unless the part is about the group.
fn parts(steps: &[Step]) -> Vec<&[Step]> {
    let together = |one: &Step, next: &Step| {
        let alike = one.part == next.part;
        let same_zone = one.place.zone == next.place.zone;
        alike && (same_zone || matches!(one.part, Part::Owner | Part::AsFound))
    };
    steps.chunk_by(together).collect()
}

fn table(sheeted: &Sheeted<'_>, steps: &[Step]) -> Markup {
    let (Some(first), Some(begin)) = (steps.first(), position(sheeted, steps)) else {
        return html! {};
    };
    let several = steps.iter().any(|step| step.place.zone != first.place.zone);
    let zone = sheeted.zone(first.place.zone);
    let placed = several || zone.controls.settings.controllers.as_slice().len() > 1;
    let part = part_words(first.part);
    let heading = if several { capitalised(&part) } else { format!("{}: {part}", label(zone)) };
    let heads = ["Line", "Where", "Do", "The display must read", "What it proves", "Read", "OK"];
    let heads = heads.iter().filter(|head| placed || **head != "Where");
    let columns = heads.clone().count();
    html! {
        table {
            caption { (Words(&heading)) }
            thead {
                // On paper the head stands on every page that the table reaches, with whose it is.
                tr.place { th colspan=(columns) { (Words(&heading)) } }
                tr { @for head in heads { th { (head) } } }
            }
            tbody {
                @for (at, step) in (begin..).zip(steps) {
                    @let mut earlier = sheeted.sheet.steps[..at].iter().rev();
                    @let before = earlier.find(|it| it.place.zone == step.place.zone);
                    (row(sheeted, at, step, before.map(|it| &it.expected), placed))
                }
            }
        }
        (LINE)
    }
}

/// Where a run of lines begins in the sheet.
fn position(sheeted: &Sheeted<'_>, steps: &[Step]) -> Option<usize> {
    let first = steps.first()?;
    sheeted.sheet.steps.iter().position(|step| std::ptr::eq(step, first))
}

fn row(
    sheeted: &Sheeted<'_>,
    at: usize,
    step: &Step,
    before: Option<&Reading>,
    placed: bool,
) -> Markup {
    let line = at + 1;
    let zone = sheeted.zone(step.place.zone);
    let several = zone.controls.settings.controllers.as_slice().len() > 1;
    let controller = sheeted.controller(step.place.zone, step.place.controller.get());
    let waits = matches!(step.deed, Deed::Wait(_));
    html! {
        tr data-line=(line) {
            td.line { (line) }
            @if placed {
                td.where {
                    (Words(label(zone)))
                    @if several { br; span.soft { (Words(&controller)) } }
                }
            }
            td class=(if waits { "do wait" } else { "do" }) {
                (Words(&sheeted.deed_words(at)))
                @if let Some((later, time)) = sheeted.begins(at) {
                    div.later {
                        "Note the time: line " (later + 1) " is read " (time_words(time)) " after this one."
                    }
                }
            }
            td.read { (reading(step, before)) }
            td.proof { (Words(&sheeted.proof(step))) }
            td.blank {}
            td.ok { span {} }
        }
        (LINE)
    }
}

/// What must be read, with what differs from the reading before in bold.
fn reading(step: &Step, before: Option<&Reading>) -> Markup {
    let now = &step.expected;
    let same = |alike: fn(&Reading, &Reading) -> bool| before.is_none_or(|it| alike(it, now));
    let mut parts = vec![
        (format!("heat {}", setpoint(now.heat)), same(|a, b| a.heat == b.heat)),
        (format!("cool {}", setpoint(now.cool)), same(|a, b| a.cool == b.cool)),
        (now.mode.name().to_owned(), same(|a, b| a.mode == b.mode)),
        (now.power.name().to_owned(), same(|a, b| a.power == b.power)),
    ];
    if step.part.reads_running() {
        parts.push((running_words(now.running).to_owned(), same(|a, b| a.running == b.running)));
    }
    html! {
        @for (at, (words, same)) in parts.iter().enumerate() {
            @if at > 0 { ", " }
            @if *same { (words) } @else { b { (words) } }
        }
        @if now.refused == Some(true) { "; " b { "the key is refused" } }
    }
}

fn not_shown(sheeted: &Sheeted<'_>) -> Markup {
    let sheet = sheeted.sheet;
    let deferred = sheet.deferred.iter().map(|it| sheeted.deferred(it));
    let missing = sheet.missing.iter().map(|(zone, item)| sheeted.missing(*zone, *item));
    let unseen = unseen_by_path(&sheet.unseen).into_iter().map(|(it, values)| {
        format!("{} (to {}): {}.", it.path, values.join(", "), sheeted.why_unseen(it))
    });
    let lists: [(&str, Vec<String>); 3] = [
        ("Deferred to another day", deferred.collect()),
        ("Outcomes of presses that this sheet does not show", missing.collect()),
        ("Not testable on site: changes that this sheet would not catch", unseen.collect()),
    ];
    html! {
        @for (head, lines) in lists.iter().filter(|(_, lines)| !lines.is_empty()) {
            section { h2 { (head) } (list(lines)) }
            (LINE)
        }
    }
}

/// The settings as they are to be left.
fn record(sheeted: &Sheeted<'_>) -> Markup {
    html! {
        section.record {
            h2 { "Settings as left" }
            p {
                "What is stored when the test is over. Tick what was found so; write down what was \
                 left otherwise, and who agreed."
            }
            @for block in settings_record(&[sheeted.model]) {
                table.record {
                    caption { (Words(&block.subject)) }
                    thead { tr {
                        th { "Setting" } th { "To be" } th { "So" } th { "Left otherwise" }
                    } }
                    tbody {
                        @for setting in &block.settings {
                            @let value = setting.values.first().and_then(Option::as_deref);
                            tr {
                                td { (setting.name) }
                                td.value { (Words(value.unwrap_or_default())) }
                                td.ok { span {} }
                                td.blank {}
                            }
                            (LINE)
                        }
                    }
                }
            }
            div.blanks {
                @for blank in ["Tester, signature", "Date", "Client, signature", "Date"] {
                    div { (blank) }
                }
            }
        }
    }
}
