//! A page saved as one file: the report of its state, what was changed, the comparison with its pin,
//! all to be read without a server, and inside it what a server needs to go on.

use std::fmt::Write as _;

use serde::{Deserialize, Serialize};
use serde_json::Value as Json;

use super::figures::PageFigure;
use super::settings::label;
use super::state::Asked;
use super::trouble::Trouble;
use super::{compare, documents};
use crate::engine::Model;
use crate::report::chart::USUAL_WIDTH;
use crate::scenario::Companions;
use crate::settings;

/// Around what a server needs to go on.
const OPENS: &str = "<script type=\"application/json\" id=\"setband-kept\">";
const CLOSES: &str = "</script>";

/// What is saved.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Saved {
    asked: Asked,
    /// The page's own state, which it gets back as it was.
    kept: Json,
}

/// What stands in a saved page.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(super) struct Kept {
    pub(super) name: String,
    pub(super) text: String,
    pub(super) state: Json,
}

/// The page as one file.
pub(super) fn pack(saved: &Saved, companions: &Companions) -> Result<String, Trouble> {
    let (name, text) = saved.asked.source();
    let kept = Kept { name: name.to_owned(), text: text.to_owned(), state: saved.kept.clone() };
    // Nothing in it may look like the end of the script.
    let data = serde_json::to_string(&kept).map_err(Trouble::form)?.replace('<', "\\u003c");
    let (_, study) = saved.asked.study(companions)?;
    let mut more = changes(&saved.asked, &study.base);
    if saved.asked.is_pinned() {
        let pinned = compare::Compared::with_pin(saved.asked.clone(), USUAL_WIDTH);
        more.push_str(&comparison(&compare::sides(&pinned, companions)?));
    }
    let report = documents::report_page(&saved.asked, companions)?;
    let end = report.rfind("</body>").ok_or_else(|| Trouble::form("the report has no end"))?;
    let (before, after) = report.split_at(end);
    Ok(format!("{before}{more}{OPENS}{data}{CLOSES}\n{after}"))
}

/// What a file holds that was saved so.
pub(super) fn unpack(html: &str) -> Option<Kept> {
    let (_, rest) = html.split_once(OPENS)?;
    let (data, _) = rest.split_once(CLOSES)?;
    serde_json::from_str(data).ok()
}

/// What was changed on the page, in words.
fn changes(asked: &Asked, model: &Model) -> String {
    let mut out = String::from("<section id=\"changes\"><h2>Changed on the page</h2>\n");
    let lines: Vec<String> = asked
        .edits
        .iter()
        .map(|edit| {
            let (whose, what) = named(model, &edit.path);
            let value = edit.value.as_str().map_or_else(|| edit.value.to_string(), str::to_owned);
            format!("{whose}: {} {}", what.to_lowercase(), value.replace('_', " "))
        })
        .chain(asked.pressed_words())
        .collect();
    if lines.is_empty() {
        out.push_str("<p>Nothing: the scenario is as it was written.</p>\n");
    } else {
        out.push_str("<ul>\n");
        for line in lines {
            let _ = writeln!(out, "<li>{}</li>", escaped(&line));
        }
        out.push_str("</ul>\n");
    }
    out.push_str(
        "<p>This file can be opened to go on: <code>setband serve</code> with its name.</p></section>\n",
    );
    out
}

/// Whose setting stands at a place of the file, and what it is called.
fn named(model: &Model, path: &str) -> (String, String) {
    for zone in &model.zones {
        let Some(own) = path.strip_prefix(&format!("zones.{}.", zone.id)) else { continue };
        let name = settings::entry(own).map_or(own, |entry| entry.setting.name);
        return (label(zone), name.replace('_', " "));
    }
    let last = path.rsplit('.').next().unwrap_or(path);
    let name = settings::entry(last).map_or(last, |entry| entry.setting.name);
    ("Outdoor unit".to_owned(), name.replace('_', " "))
}

fn comparison(sides: &compare::Sides) -> String {
    let mut out =
        String::from("<section id=\"compared\"><h2>Beside the pinned state</h2>\n<table>\n");
    let _ = writeln!(
        out,
        "<thead><tr><th scope=\"col\">All rooms</th><th scope=\"col\">{}</th><th \
         scope=\"col\">{}</th></tr></thead><tbody>",
        escaped(&sides.names[0]),
        escaped(&sides.names[1])
    );
    let of_all =
        |all: &[PageFigure]| all.iter().filter(|it| it.is_of_all()).cloned().collect::<Vec<_>>();
    for (before, after) in of_all(&sides.before).iter().zip(&of_all(&sides.after)) {
        let _ = writeln!(
            out,
            "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td></tr>",
            escaped(before.label()),
            escaped(&before.shown()),
            escaped(&after.shown())
        );
    }
    let _ = write!(out, "</tbody></table>\n{}\n{}</section>\n", sides.overlay, sides.differences);
    out
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    const TEXT: &str = "title: \"</script><b>a hall</b>\"\nperiod: {from: 2025-04-16}\nweather: \
        {design_day: {high: 18, range: 11}}\nzones:\n  hall: {space: {floor: 60 m2}, unit: {heating: 4 \
        kW, cooling: 4 kW}, controls: {heat: 20, cool: 24}}\n";

    #[test]
    fn a_saved_page_is_opened_as_it_was_saved() {
        let edits = json!([{ "path": "zones.hall.controls.heat", "value": 21 }]);
        let pin = json!({ "edits": [], "presses": [] });
        let state = json!({ "now": { "edits": edits, "pin": pin } });
        let saved = json!({
            "asked": { "text": TEXT, "name": "hall.yaml", "edits": edits, "pin": pin },
            "kept": state,
        });
        let saved: Saved = serde_json::from_value(saved).expect("what a page sends");
        let html = pack(&saved, &Companions::default()).expect("a page");
        for part in ["hall: heat setpoint 21", "Beside the pinned state", "What happened?"] {
            assert!(html.contains(part), "{part}");
        }
        assert!(html.matches("<svg").count() >= 3, "the day and both charts of the comparison");
        assert!(html.trim_end().ends_with("</html>"));
        assert_eq!(
            unpack(&html),
            Some(Kept { name: "hall.yaml".into(), text: TEXT.into(), state })
        );
        assert_eq!(unpack("<html></html>"), None);
    }
}
