//! `handover.html`: pages to print when a system is handed over: for each zone one side for the
//! people in it, one for the owner, one for the next technician.

mod words;

use maud::{Markup, PreEscaped, html};

pub use words::{Told, for_people};

use super::register::Registered;
use super::render::html::{LINE, PAPER, Words, document, list, table};
use super::review::{requirements, review_answer};
use super::run::label;
use super::settings::settings_record;
use crate::engine::{Model, ZoneIndex};
use crate::study::review::Review;
use crate::study::{Finding, Severity};

/// What an owner must bear in mind.
const CAUTIONS: [&str; 4] = [
    "The documents of the equipment, the sequence of operation and the authority having jurisdiction \
     come first.",
    "Power off, a cooling lock or a deep setback is no protection against freezing.",
    "Rented homes and places of care have lawful minimum temperatures, which differ by place.",
    "Work on refrigerant and electrical parts is for licensed persons.",
];

/// The pages: one file, no network.
/// `shown` is what was shown on site, where there is a register.
pub fn handover_page(
    model: &Model,
    review: &Review<'_>,
    findings: &[Finding],
    shown: Option<&Registered<'_>>,
) -> String {
    let title = format!("Handover: {}", model.title);
    let body = html! {
        @for at in 0..model.zones.len() { (people(model, ZoneIndex::new(at))) }
        (owner(model, review, findings, shown))
        (technician(model, findings))
    };
    document(&title, &html! { style { (PreEscaped(PAPER)) } }, &body)
}

/// One side for the people in a zone.
fn people(model: &Model, zone: ZoneIndex) -> Markup {
    html! {
        section.people {
            h1 { (Words(label(&model.zones[zone.get()]))) }
            p.lead { "How to keep this room as you like it" }
            @for told in for_people(model, zone) {
                h2 { (told.question) }
                p { @for sentence in &told.answer { (Words(sentence)) " " } }
            }
            h2 { "Whom can I ask?" }
            div.blanks { div { "Name" } div { "Phone" } }
        }
        (LINE)
    }
}

/// The settings record, what was shown, what is owed, cautions.
fn owner(
    model: &Model,
    review: &Review<'_>,
    findings: &[Finding],
    shown: Option<&Registered<'_>>,
) -> Markup {
    let open: Vec<String> = findings
        .iter()
        .filter(|it| it.severity != Severity::Note)
        .map(|it| format!("{}: {}", it.path, it.message))
        .collect();
    html! {
        section.owner {
            h1 { "For the owner" }
            h2 { "What was asked, and what holds" }
            p { (Words(&review_answer(review))) }
            @if !review.rows.is_empty() { (table(&requirements(review), "record")) }
            @if let Some(shown) = shown { (on_site(shown)) }
            h2 { "What is still owed" }
            @if open.is_empty() { p { "Nothing that the settings show." } } @else { (list(&open)) }
            @if let Some(shown) = shown {
                @let owed = [shown.failing(), shown.owed()].concat();
                @if !owed.is_empty() { h3 { "Not shown on site yet" } (list(&owed)) }
                @let waits = shown.waiting();
                @if !waits.is_empty() { h3 { "Waits for another day" } (list(&waits)) }
            }
            h2 { "Bear in mind" }
            (list(&CAUTIONS))
            h2 { "Settings for the record" }
            @for block in settings_record(&[model]) {
                h3 { (Words(&block.subject)) }
                table.record { tbody { @for setting in &block.settings {
                    @let value = setting.values.first().and_then(Option::as_deref);
                    tr { th scope="row" { (setting.name) } td { (Words(value.unwrap_or_default())) } }
                } } }
            }
            div.blanks { div { "Owner, signature" } div { "Technician, signature" } div { "Date" } }
        }
        (LINE)
    }
}

/// What was shown on site, and by whom.
fn on_site(shown: &Registered<'_>) -> Markup {
    let mended = shown.mended();
    html! {
        h2 { "What was shown on site" }
        p { (Words(&shown.answer())) }
        (list(&shown.papers()))
        @if !mended.is_empty() { h3 { "Failed and mended" } (list(&mended)) }
    }
}

/// What the next technician should look at first.
fn technician(model: &Model, findings: &[Finding]) -> Markup {
    let all: Vec<String> = findings
        .iter()
        .map(|it| format!("{} ({}): {} Mend: {}.", it.path, it.code, it.message, it.remedy))
        .collect();
    html! {
        section.technician {
            h1 { "For the next technician" }
            p {
                "These pages were made from the scenario file of " (Words(&model.title)) ". Change the \
                 file when you change a setting, and make them again."
            }
            h2 { "Findings about the settings, the gravest first" }
            @if all.is_empty() { p { "None." } } @else { (list(&all)) }
            h2 { "Found and left otherwise" }
            div.blanks { @for _ in 0..8 { div { "Setting, found, left, why" } } }
        }
        (LINE)
    }
}
