//! `sheet.html`: the sheet as a page of its own, which prints.

use std::fmt::Write as _;

use super::super::figures::{setpoint, unit_sign};
use super::super::run::label;
use super::super::settings::settings_record;
use super::Sheeted;
use super::text::unseen_by_path;
use super::words::{deed_words, part_words, running_words};
use crate::control::Direction;
use crate::engine::ZoneIndex;
use crate::study::sheet::{Deed, Part, Reading, Step, season};

const CSS: &str = include_str!("page.css");

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
    let mut out = String::new();
    let title = escape(&sheeted.model.title);
    let _ = write!(
        out,
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta \
         name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>Test sheet: \
         {title}</title>\n<style>\n{CSS}</style>\n</head>\n<body>\n<h1>Test sheet: {title}</h1>\n"
    );
    let _ = writeln!(out, "<p class=\"answer\">{}</p>", escape(&sheeted.answer()));
    let _ = writeln!(out, "<p>{}</p>", escape(&sheeted.coverage()));
    out.push_str(
        "<div class=\"blanks\"><div>Site</div><div>Tester</div><div>Date</div><div>Outdoor \
         temperature</div><div>Serial numbers</div><div>Instruments</div></div>\n",
    );
    before(sheeted, &mut out);
    for part in parts(&sheeted.sheet.steps) {
        table(sheeted, part, &mut out);
    }
    not_shown(sheeted, &mut out);
    record(sheeted, &mut out);
    out.push_str("</body>\n</html>\n");
    out
}

fn before(sheeted: &Sheeted<'_>, out: &mut String) {
    let unit = unit_sign(sheeted.model.unit);
    out.push_str("<section>\n<h2>Before you begin</h2>\n<ul>\n");
    for (room, names) in sheeted.rooms() {
        let _ = writeln!(
            out,
            "<li>The sensor must read <b>{} {unit}</b> in {}, and stay there: let the room settle, \
             or put a source of known temperature in the sensor's place. If it reads otherwise, \
             make the sheet again with <code>--room</code>.</li>",
            setpoint(room),
            escape(&names.join(", "))
        );
    }
    for direction in Direction::BOTH {
        if sheeted.sheet.steps.iter().any(|step| step.part == Part::Calls(direction)) {
            let season = season(sheeted.model, ZoneIndex::new(0), direction);
            let from = season.lowest.map(|value| format!(" from {} {unit}", setpoint(value)));
            let to = season.highest.map(|value| format!(" up to {} {unit}", setpoint(value)));
            let _ = writeln!(
                out,
                "<li>Let {} run for a test only when it is{}{} outside.</li>",
                direction.name(),
                from.unwrap_or_default(),
                to.unwrap_or_default()
            );
        }
    }
    out.push_str(
        "<li>Press as anyone in the room would, not with a technician's access, unless the line \
         says so. After each line read within 10 s. What differs from the line before is bold.</li>\n",
    );
    for caution in CAUTIONS {
        let _ = writeln!(out, "<li>{caution}</li>");
    }
    out.push_str("</ul>\n</section>\n");
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

fn table(sheeted: &Sheeted<'_>, steps: &[Step], out: &mut String) {
    let (Some(first), Some(range)) = (steps.first(), position(sheeted, steps)) else { return };
    let several = steps.iter().any(|step| step.place.zone != first.place.zone);
    let zone = sheeted.zone(first.place.zone);
    let placed = several || zone.controls.settings.controllers.as_slice().len() > 1;
    let part = part_words(first.part);
    let heading = if several { capital(&part) } else { format!("{}: {part}", label(zone)) };
    let _ = writeln!(
        out,
        "<table>\n<caption>{}</caption>\n<thead><tr><th>Line</th>{}<th>Do</th><th>The \
         display must read</th><th>What it proves</th><th>Read</th><th>OK</th></tr></thead>\n<tbody>",
        escape(&heading),
        if placed { "<th>Where</th>" } else { "" }
    );
    for (at, step) in steps.iter().enumerate() {
        let earlier = &sheeted.sheet.steps[..range + at];
        let before = earlier.iter().rev().find(|other| other.place.zone == step.place.zone);
        row(sheeted, range + at + 1, step, before.map(|step| &step.expected), placed, out);
    }
    out.push_str("</tbody>\n</table>\n");
}

/// Where a run of lines begins in the sheet.
fn position(sheeted: &Sheeted<'_>, steps: &[Step]) -> Option<usize> {
    let first = steps.first()?;
    sheeted.sheet.steps.iter().position(|step| std::ptr::eq(step, first))
}

fn row(
    sheeted: &Sheeted<'_>,
    line: usize,
    step: &Step,
    before: Option<&Reading>,
    placed: bool,
    out: &mut String,
) {
    let zone = sheeted.zone(step.place.zone);
    let controllers = zone.controls.settings.controllers.as_slice().len();
    let mut place = String::new();
    if placed {
        let _ = write!(place, "<td class=\"where\">{}", escape(label(zone)));
        if controllers > 1 {
            let id = sheeted.controller(step.place.zone, step.place.controller.get());
            let _ = write!(place, "<br><span class=\"soft\">{}</span>", escape(&id));
        }
        place.push_str("</td>");
    }
    let wait = if matches!(step.deed, Deed::Wait(_)) { " wait" } else { "" };
    let _ = writeln!(
        out,
        "<tr><td class=\"line\">{line}</td>{place}<td class=\"do{wait}\">{}\
         </td><td class=\"read\">{}</td><td class=\"proof\">{}</td><td class=\"blank\"></td><td \
         class=\"ok\"><span></span></td></tr>",
        escape(&deed_words(step)),
        reading(step, before),
        escape(&sheeted.proof(step))
    );
}

/// What must be read, with what differs from the reading before in bold.
fn reading(step: &Step, before: Option<&Reading>) -> String {
    let now = &step.expected;
    let mark = |text: String, same: bool| if same { text } else { format!("<b>{text}</b>") };
    let same = |alike: fn(&Reading, &Reading) -> bool| before.is_none_or(|it| alike(it, now));
    let mut parts = vec![
        mark(format!("heat {}", setpoint(now.heat)), same(|a, b| a.heat == b.heat)),
        mark(format!("cool {}", setpoint(now.cool)), same(|a, b| a.cool == b.cool)),
        mark(now.mode.name().into(), same(|a, b| a.mode == b.mode)),
        mark(now.power.name().into(), same(|a, b| a.power == b.power)),
    ];
    if step.part.reads_running() {
        parts.push(mark(running_words(now.running).into(), same(|a, b| a.running == b.running)));
    }
    let mut text = parts.join(", ");
    if now.refused == Some(true) {
        text.push_str("; <b>the key is refused</b>");
    }
    text
}

fn not_shown(sheeted: &Sheeted<'_>, out: &mut String) {
    let sheet = sheeted.sheet;
    let list = |head: &str, lines: Vec<String>, out: &mut String| {
        if !lines.is_empty() {
            let _ = writeln!(out, "<section>\n<h2>{head}</h2>\n<ul>");
            for line in lines {
                let _ = writeln!(out, "<li>{}</li>", escape(&line));
            }
            out.push_str("</ul>\n</section>\n");
        }
    };
    let deferred = sheet.deferred.iter().map(|it| sheeted.deferred(it)).collect();
    list("Deferred to another day", deferred, out);
    let missing = sheet.missing.iter().map(|(zone, item)| sheeted.missing(*zone, *item)).collect();
    list("Outcomes of presses that this sheet does not show", missing, out);
    let unseen = unseen_by_path(&sheet.unseen);
    let unseen = unseen.into_iter().map(|(path, values)| {
        format!("{path} (to {}): {}.", values.join(", "), sheeted.why_unseen(&path))
    });
    list("Not testable on site: changes that this sheet would not catch", unseen.collect(), out);
}

/// The settings as they are to be left.
fn record(sheeted: &Sheeted<'_>, out: &mut String) {
    out.push_str(
        "<section class=\"record\">\n<h2>Settings as left</h2>\n<p>What is stored when the test is \
         over. Tick what was found so; write down what was left otherwise, and who agreed.</p>\n",
    );
    for block in settings_record(&[sheeted.model]) {
        let _ = writeln!(
            out,
            "<table class=\"record\">\n<caption>{}</caption>\n<thead><tr><th>Setting</th><th>To \
             be</th><th>So</th><th>Left otherwise</th></tr></thead>\n<tbody>",
            escape(&block.subject)
        );
        for setting in &block.settings {
            let value = setting.values.first().cloned().flatten().unwrap_or_default();
            let _ = writeln!(
                out,
                "<tr><td>{}</td><td class=\"value\">{}</td><td class=\"ok\"><span></span></td><td \
                 class=\"blank\"></td></tr>",
                escape(setting.name),
                escape(&value)
            );
        }
        out.push_str("</tbody>\n</table>\n");
    }
    out.push_str(
        "<div class=\"blanks\"><div>Tester, signature</div><div>Date</div><div>Client, \
         signature</div><div>Date</div></div>\n</section>\n",
    );
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            _ if c.is_control() => out.push(' '),
            _ => out.push(c),
        }
    }
    out
}
