//! The settings record.

use rust_xlsxwriter::XlsxError;

use super::Subject;
use super::page::{Cell, Page};
use crate::engine::Model;
use crate::report::settings::settings_record;

pub(super) fn write(page: &mut Page, subjects: &[Subject]) -> Result<(), XlsxError> {
    let models: Vec<&Model> = subjects.iter().map(|subject| subject.run.model).collect();
    page.widths(&[24.0, 28.0, 44.0], subjects.len().saturating_sub(1))?;
    let mut heads = vec!["Zone or outdoor unit".to_owned(), "Setting".to_owned()];
    heads.extend(subjects.iter().map(|it| it.name.unwrap_or("Value").to_owned()));
    if subjects.len() > 1 {
        heads.push("Differs".into());
    }
    page.heads(&heads, 2)?;
    for block in settings_record(&models) {
        for setting in &block.settings {
            let differs = setting.differs();
            let words = |text: String| {
                if differs { Cell::Strong(text) } else { Cell::Words(text) }
            };
            let mut cells = vec![words(block.subject.clone()), words(setting.name.to_owned())];
            let values = setting.values.iter();
            cells.extend(values.map(|value| words(value.clone().unwrap_or_else(|| "-".into()))));
            if differs {
                cells.push(words("yes".into()));
            }
            page.row(&cells)?;
        }
    }
    page.filter(0, heads.len())
}
