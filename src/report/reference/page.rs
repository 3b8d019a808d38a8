//! The reference as one page of HTML.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::facts;
use crate::reference::{Class, Entry};
use crate::report::render::html::{LINE, Words};

/// The style sheet of the page.
pub const REFERENCE_CSS: &str = include_str!("page.css");

/// The page of all entries. `stylesheet` is the address of [`REFERENCE_CSS`] where it stands beside
/// the page; without one the page needs no other file.
pub fn reference_page(entries: &[Entry], stylesheet: Option<&str>) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { "setband: words explained" }
                @match stylesheet {
                    Some(address) => link rel="stylesheet" href=(address);,
                    None => style { (PreEscaped(REFERENCE_CSS)) },
                }
            }
            body {
                header {
                    h1 { "Words explained" }
                    p {
                        "Keys of the scenario file, codes, outcomes, figures and terms of setband, \
                         version " (env!("CARGO_PKG_VERSION")) ". The same on the command line: "
                        code { "setband explain WORD" } "."
                    }
                }
                nav aria-label="Contents" {
                    ul {
                        @for class in Class::ALL {
                            li {
                                a href={ "#" (id(class)) } { (class.heading()) }
                                " (" (entries.iter().filter(|it| it.class == class).count()) ")"
                            }
                        }
                    }
                }
                main { @for class in Class::ALL { (part(class, entries)) } }
                footer {
                    p {
                        "A simulation is not a test on site: the documents of the equipment, the \
                         sequence of operation and the authority having jurisdiction come first."
                    }
                }
            }
        }
    };
    page.into_string()
}

fn id(class: Class) -> String {
    format!("{class:?}").to_lowercase()
}

fn part(class: Class, entries: &[Entry]) -> Markup {
    html! {
        section aria-labelledby=(id(class)) {
            h2 id=(id(class)) { (class.heading()) }
            @for entry in entries.iter().filter(|it| it.class == class) {
                (one(entry))
            }
        }
        (LINE)
    }
}

fn one(entry: &Entry) -> Markup {
    let facts = facts(entry);
    html! {
        article id=(entry.anchor()) {
            h3 {
                @if let Some(path) = &entry.path {
                    @let above = path.strip_suffix(&*entry.word).unwrap_or_default();
                    code { span.above { @for step in above.split_inclusive('.') { (Words(step)) wbr; } } (Words(&entry.word)) }
                } @else if matches!(entry.class, Class::Term | Class::Event) {
                    (Words(&entry.word))
                } @else {
                    code { (Words(&entry.word)) }
                }
            }
            p { (with_code(&entry.what)) }
            @if !facts.is_empty() {
                dl {
                    @for (name, fact) in &facts {
                        dt { (name) }
                        dd {
                            @if matches!(*name, "example" | "shown in") {
                                code { (Words(fact)) }
                            } @else {
                                (with_code(fact))
                            }
                        }
                    }
                }
            }
        }
        (LINE)
    }
}

/// Words, with what stands between backticks as code.
fn with_code(words: &str) -> Markup {
    html! {
        @for (place, piece) in words.split('`').enumerate() {
            @if place % 2 == 1 { code { (Words(piece)) } } @else { (Words(piece)) }
        }
    }
}
