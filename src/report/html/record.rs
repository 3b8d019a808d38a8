//! The settings as a record, with what differs between the runs marked.

use super::markup::Markup;
use crate::engine::Model;
use crate::report::settings::{SettingsBlock, settings_record};

/// Up to so many blocks stand open when the page is opened.
const MOST_OPEN: usize = 4;

/// The section; `names` are what the models are called where there are several.
pub(super) fn section(to: &mut Markup, models: &[&Model], names: &[String]) {
    let blocks = settings_record(models);
    let open = blocks.len() <= MOST_OPEN;
    to.section("settings", "The settings, for the record", |section| {
        if models.len() > 1 {
            let words = "Settings that differ are marked with a bar and the word “differs”.";
            section.element("p", &[("class", "text")], words);
        }
        for block in &blocks {
            let differing = block.settings.iter().filter(|setting| setting.differs()).count();
            let attributes: &[(&str, &str)] =
                if open || differing > 0 { &[("open", "")] } else { &[] };
            section.within("details", attributes, |details| {
                details.within("summary", &[], |summary| {
                    summary.within("h3", &[], |head| head.words(&block.subject));
                    if models.len() > 1 {
                        summary.element("span", &[("class", "note")], &differs(differing));
                    }
                });
                table(details, block, names);
            });
        }
    });
}

fn differs(settings: usize) -> String {
    match settings {
        0 => "no setting differs".into(),
        1 => "1 setting differs".into(),
        many => format!("{many} settings differ"),
    }
}

fn table(to: &mut Markup, block: &SettingsBlock, names: &[String]) {
    let several = names.len() > 1;
    let class = if several { "record cards" } else { "record" };
    to.within("table", &[("class", class)], |table| {
        if several {
            table.within("thead", &[], |head| {
                head.within("tr", &[], |row| {
                    row.cell("th", &[("scope", "col")], "Setting");
                    for name in names {
                        row.cell("th", &[("scope", "col")], name);
                    }
                });
            });
        }
        table.within("tbody", &[], |body| {
            for setting in &block.settings {
                let differs: &[(&str, &str)] =
                    if setting.differs() { &[("class", "differs")] } else { &[] };
                body.within("tr", differs, |row| {
                    row.within("th", &[("scope", "row")], |head| {
                        head.words(setting.name);
                        if setting.differs() {
                            head.html(" ");
                            head.element("span", &[("class", "note")], "differs");
                        }
                    });
                    for (place, value) in setting.values.iter().enumerate() {
                        let name = names.get(place).map_or("", String::as_str);
                        let value = value.as_deref().unwrap_or("is not there");
                        row.cell("td", &[("data-head", name)], value);
                    }
                });
            }
        });
    });
}
