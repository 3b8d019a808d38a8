//! What `compare` prints: a sentence for each variant, all side by side, the differences.

use super::answer;
use super::knee::knee_sentence;
use crate::report::content::{Units, comparison as content};
use crate::report::figures::{days_in_words, demand_share};
use crate::report::render::fit::{clean, hang};
use crate::report::render::text::{self, Style, section};
use crate::study::Comparison;

/// The whole text. `files` are the paths that were written, as they are to be shown.
pub fn comparison_text(comparison: &Comparison, style: Style, files: &[String]) -> String {
    let mut out = String::new();
    for sentence in answer(comparison, |contender| contender.name.clone()) {
        text::strong(&mut out, style, &sentence);
    }
    if let Some(knee) = &comparison.knee {
        let sentence = knee_sentence(&comparison.base.model, knee);
        out.push_str(&hang("", &clean(&sentence), style.width));
    }
    out.push_str(&hang("", &clean(&what_was_run(comparison)), style.width));
    out.push('\n');
    let units = Units::of(&comparison.base.model);
    let sides = content::sides(comparison, |contender| contender.name.as_str().into());
    out.push_str(&text::table(&content::side_by_side(&sides, units), style));
    if let Some((base, variants)) = sides.split_first() {
        for variant in variants {
            let head = format!("{} against {}", variant.name, base.name);
            let table = content::figures(&[base.clone(), variant.clone()], units, false);
            section(&mut out, style, &head, &text::table(&table, style));
        }
    }
    let mut notes = comparison.notes.clone();
    notes.extend(demand_share(&comparison.base.model));
    notes.push(CLOSING.to_owned());
    section(&mut out, style, "Bear in mind", &text::list(&notes, style));
    for one in &comparison.left_out {
        let head = format!("Left out: {}", clean(&one.name));
        let faults = one.faults.to_string();
        let lines =
            faults.lines().fold(String::new(), |out, line| out + "  " + &clean(line) + "\n");
        section(&mut out, style, &head, &lines);
    }
    text::files(&mut out, style, files);
    out
}

const CLOSING: &str = "The same weather, people and random draws in every column; only settings \
                       differ. A model of these days, not a promise of savings and not a test on \
                       site.";

fn what_was_run(comparison: &Comparison) -> String {
    let model = &comparison.base.model;
    format!("{}: {}.", model.title, days_in_words(&model.period))
}
