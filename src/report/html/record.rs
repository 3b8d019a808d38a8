//! The settings as a record, with what differs between the runs marked.

use maud::{Markup, html};

use crate::engine::Model;
use crate::report::render::html::{self, Breakable, LINE, Words, text};
use crate::report::settings::{SettingsBlock, settings_record};

/// Up to so many blocks stand open when the page is opened.
const MOST_OPEN: usize = 4;

/// The section; `names` are what the models are called where there are several.
pub(super) fn section(models: &[&Model], names: &[String]) -> Markup {
    let blocks = settings_record(models);
    let open = blocks.len() <= MOST_OPEN;
    let differing = |block: &SettingsBlock| block.settings.iter().filter(|it| it.differs()).count();
    let inside = html! {
        @if models.len() > 1 {
            (text("Settings that differ are marked with a bar and the word “differs”."))
        }
        @for block in &blocks {
            details open[open || differing(block) > 0] {
                summary {
                    h3 { (Words(&block.subject)) }
                    @if models.len() > 1 { span.note { (differs(differing(block))) } }
                }
                (table(block, names))
            }
            (LINE)
        }
    };
    html::section("settings", "The settings, for the record", &inside)
}

fn differs(settings: usize) -> String {
    match settings {
        0 => "no setting differs".into(),
        1 => "1 setting differs".into(),
        many => format!("{many} settings differ"),
    }
}

fn table(block: &SettingsBlock, names: &[String]) -> Markup {
    let several = names.len() > 1;
    html! {
        table class=(if several { "record cards" } else { "record" }) {
            @if several {
                thead { tr {
                    th scope="col" { "Setting" }
                    @for name in names { th scope="col" { (Breakable(name)) } }
                } }
            }
            tbody {
                @for setting in &block.settings {
                    tr class=[setting.differs().then_some("differs")] {
                        th scope="row" {
                            (setting.name)
                            @if setting.differs() { " " span.note { "differs" } }
                        }
                        @for (place, value) in setting.values.iter().enumerate() {
                            td data-head=(Words(names.get(place).map_or("", String::as_str))) {
                                (Breakable(value.as_deref().unwrap_or("is not there")))
                            }
                        }
                    }
                    (LINE)
                }
            }
        }
    }
}
