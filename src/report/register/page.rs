//! `register.html`: the register as a page of its own, which prints.

use maud::{Markup, PreEscaped, html};

use super::tables::{paper_lines, shown};
use super::{CAUTION, Registered, is_requirement};
use crate::report::render::html::{PAPER, Words, document, list, section, table, text};
use crate::study::register::{Entry, State};

/// The page: one file, no network.
pub fn register_page(registered: &Registered<'_>) -> String {
    let title = format!("Register: {}", registered.title);
    let of_weather = registered.weather.is_some() && !registered.register.waiting.is_empty();
    let body = html! {
        h1 { (Words(&title)) }
        p.answer { (Words(&registered.answer())) }
        (section("fails", "Fails", &list(&registered.failing())))
        (section("owed", "Owed", &list(&registered.owed())))
        (section("waits", "Waits for another day", &html! {
            (list(&registered.waiting()))
            @if of_weather { (text(&Registered::weeks_rule())) }
        }))
        (section("mended", "Failed and mended", &list(&registered.mended())))
        (section("shown", "Settings and requirements", &by_zone(registered)))
        (section("not-on-site", "What no visit shows", &list(&registered.folded(|it| {
            it.state == State::NotOnSite
        }))))
        (section("lines", "Lines that failed", &list(&registered.failures())))
        (section("papers", "Papers", &list(&paper_lines(registered.register))))
        (section("cautions", "Bear in mind", &list(&[CAUTION])))
    };
    document(&title, &html! { style { (PreEscaped(PAPER)) } }, &body)
}

/// A table for each zone, then outdoor units and requirements.
fn by_zone(registered: &Registered<'_>) -> Markup {
    let entries: Vec<&Entry> =
        registered.register.entries.iter().filter(|it| it.state != State::NotOnSite).collect();
    let same = |one: &&Entry, other: &&Entry| {
        one.zone() == other.zone() && is_requirement(one) == is_requirement(other)
    };
    html! {
        @for group in entries.chunk_by(same) {
            h3 { (Words(head_of(group[0]))) }
            (table(&shown(group), "record"))
        }
    }
}

fn head_of(entry: &Entry) -> &str {
    match entry.zone() {
        Some(zone) => zone,
        None if is_requirement(entry) => "Requirements",
        None => "Outdoor units",
    }
}
