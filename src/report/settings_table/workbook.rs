//! The settings table as a workbook.

use rust_xlsxwriter::{
    ConditionalFormatFormula, DataValidation, DocProperties, ExcelDateTime, Format, FormatAlign,
    FormatBorder, FormatUnderline, Workbook, Worksheet, XlsxError,
};

use super::{SHEETS, heading};
use crate::report::headline::capitalised;
use crate::report::workbook::WorkbookFault;
use crate::study::settings_table::{BY, CONTROLLER, Cell, Table, ZONE};

/// Lines above the rows: words, and keys.
const HEAD: u32 = 2;
/// Columns before the settings: zone and controller.
const NAMES: u16 = 2;
/// A list of choices may be so long in a cell's drop-down list, characters: a limit of the format.
const LONGEST_LIST: usize = 255;

/// The table as a workbook with a sheet of what is specified and two to fill in: what was found, and
/// what was left. A cell of these that differs from what is specified is marked.
///
/// # Errors
/// The library cannot write it.
pub fn settings_workbook(table: &Table, title: &str) -> Result<Vec<u8>, WorkbookFault> {
    let mut workbook = Workbook::new();
    let properties = DocProperties::new()
        .set_title(title.chars().take(200).collect::<String>())
        .set_creation_datetime(&ExcelDateTime::from_ymd(2000, 1, 1)?);
    workbook.set_properties(&properties);
    for (place, name) in SHEETS.into_iter().enumerate() {
        let sheet = workbook.add_worksheet();
        sheet.set_name(name)?;
        write_head(sheet, table)?;
        for (at, row) in (HEAD..).zip(&table.rows) {
            sheet.write_string(at, 0, &row.zone)?;
            sheet.write_string(at, 1, &row.controller)?;
            for (column, cell) in (NAMES..).zip(&row.cells).filter(|_| place == 0) {
                match cell {
                    Cell::Empty => {}
                    Cell::Number(number) => {
                        sheet.write_number(at, column, *number)?;
                    }
                    Cell::Text(text) => {
                        sheet.write_string(at, column, text)?;
                    }
                }
            }
        }
        choices(sheet, table)?;
        if place > 0 {
            who_and_when(sheet, table)?;
            mark(sheet, table)?;
        }
    }
    Ok(workbook.save_to_buffer()?)
}

fn write_head(sheet: &mut Worksheet, table: &Table) -> Result<(), XlsxError> {
    let words = Format::new().set_bold().set_text_wrap().set_align(FormatAlign::Top);
    let keys = Format::new()
        .set_font_size(8)
        .set_text_wrap()
        .set_align(FormatAlign::Top)
        .set_border_bottom(FormatBorder::Thin);
    for (column, (word, key)) in (0..).zip([("Zone", ZONE), ("Controller", CONTROLLER)]) {
        sheet.write_string_with_format(0, column, word, &words)?;
        sheet.write_string_with_format(1, column, key, &keys)?;
        sheet.set_column_width(column, 16.0)?;
    }
    for (at, column) in (NAMES..).zip(&table.columns) {
        sheet.write_string_with_format(0, at, heading(column, table), &words)?;
        sheet.write_string_with_format(1, at, column.key(), &keys)?;
        sheet.set_column_width(at, 13.0)?;
    }
    sheet.set_row_height(0, 48.0)?.set_row_height(1, 36.0)?;
    sheet.set_freeze_panes(HEAD, NAMES)?;
    sheet.set_landscape().set_print_fit_to_pages(1, 0).set_repeat_rows(0, HEAD - 1)?;
    Ok(())
}

/// Columns of who filled in a row and when, behind the settings.
fn who_and_when(sheet: &mut Worksheet, table: &Table) -> Result<(), XlsxError> {
    let behind = NAMES + u16::try_from(table.columns.len()).unwrap_or(u16::MAX);
    let day = Format::new().set_num_format("yyyy-mm-dd");
    for (column, key) in (behind..).zip(BY) {
        sheet.write_string(0, column, capitalised(key))?;
        sheet.write_string(1, column, key)?;
        sheet.set_column_width(column, 13.0)?;
        sheet.set_column_format(column, &day)?;
    }
    Ok(())
}

/// The last row of the table.
fn last_row(table: &Table) -> u32 {
    HEAD + u32::try_from(table.rows.len()).unwrap_or(u32::MAX).saturating_sub(1)
}

/// Drop-down lists where there are words to choose from.
fn choices(sheet: &mut Worksheet, table: &Table) -> Result<(), XlsxError> {
    for (at, column) in (NAMES..).zip(&table.columns) {
        let words = column.choices();
        let length: usize = words.iter().map(|word| word.len() + 1).sum();
        if !words.is_empty() && length < LONGEST_LIST {
            let list = DataValidation::new().allow_list_strings(words)?;
            sheet.add_data_validation(HEAD, at, last_row(table), at, &list)?;
        }
    }
    Ok(())
}

/// Marks cells that are filled in and differ from what is specified: in bold, underlined, shaded.
fn mark(sheet: &mut Worksheet, table: &Table) -> Result<(), XlsxError> {
    let Some(last) = u16::try_from(table.columns.len()).ok().and_then(|it| it.checked_sub(1))
    else {
        return Ok(());
    };
    let changed = Format::new()
        .set_bold()
        .set_underline(FormatUnderline::Single)
        .set_background_color("#E6E6E6");
    let rule = format!("=AND(C3<>\"\",C3<>{}!C3)", SHEETS[0]);
    let format = ConditionalFormatFormula::new().set_rule(rule.as_str()).set_format(changed);
    sheet.add_conditional_format(HEAD, NAMES, last_row(table), NAMES + last, &format)?;
    Ok(())
}
