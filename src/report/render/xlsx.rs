//! Content as sheets of a workbook: numbers in full with formats, differences as formulas, units in
//! the heads.

use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, Formula, Workbook, Worksheet,
    XlsxError,
};

use super::head;
use crate::report::content::{Cell, Column, Medium, Quantity, Row, Table, Tone, Value};
use crate::time::{Instant, Period};

/// The longest text that a cell takes, in characters.
const LONGEST: usize = 32_767;

/// A workbook of that title. The same results give the same bytes: the date of creation is fixed.
pub(in crate::report) fn workbook(title: &str) -> Result<Workbook, XlsxError> {
    let mut workbook = Workbook::new();
    let properties = DocProperties::new()
        .set_title(fitting(title))
        .set_comment("Figures of a model, not a promise and not a test on site.")
        .set_creation_datetime(&ExcelDateTime::from_ymd(2000, 1, 1)?);
    workbook.set_properties(&properties);
    Ok(workbook)
}

/// A text that a cell can take.
fn fitting(text: &str) -> String {
    text.chars().take(LONGEST).collect()
}

/// Sheets with more rows than this are written to a temporary file while they come: in memory a
/// cell takes 200 bytes.
const MOST_ROWS_IN_MEMORY: usize = 10_000;

/// One sheet, which is written row by row.
pub(in crate::report) struct Sheet<'w> {
    worksheet: &'w mut Worksheet,
    row: u32,
    /// The row of the first heads.
    heads: Option<u32>,
    /// Widths of the columns so far, in letters.
    widths: Vec<f64>,
    strong: Format,
    head: Format,
    /// Those of numbers and times, by what they look like.
    formats: Vec<(&'static str, Format)>,
}

impl<'w> Sheet<'w> {
    /// A new sheet of that name at the end of the workbook, landscape and as wide as a page.
    pub(in crate::report) fn add(
        workbook: &'w mut Workbook,
        name: &str,
    ) -> Result<Self, XlsxError> {
        Self::on(workbook.add_worksheet(), name)
    }

    /// The same for about so many rows, in memory or, if there are many, in a temporary file.
    pub(in crate::report) fn add_for(
        rows: usize,
        workbook: &'w mut Workbook,
        name: &str,
    ) -> Result<Self, XlsxError> {
        if rows <= MOST_ROWS_IN_MEMORY || tempfile::tempfile().is_err() {
            return Self::add(workbook, name);
        }
        Self::on(workbook.add_worksheet_with_constant_memory()?, name)
    }

    fn on(sheet: &'w mut Worksheet, name: &str) -> Result<Self, XlsxError> {
        sheet.set_name(name)?.set_landscape().set_print_fit_to_pages(1, 0);
        let head = Format::new().set_bold().set_text_wrap().set_align(FormatAlign::Top);
        Ok(Self {
            worksheet: sheet,
            row: 0,
            heads: None,
            widths: Vec::new(),
            strong: Format::new().set_bold(),
            head: head.set_border_bottom(FormatBorder::Thin),
            formats: Vec::new(),
        })
    }

    /// Writes a line of words over all columns.
    pub(in crate::report) fn line(&mut self, words: &str) -> Result<(), XlsxError> {
        self.worksheet.write_string(self.row, 0, fitting(words))?;
        self.row += 1;
        Ok(())
    }

    /// Writes a line of words that stand out.
    pub(in crate::report) fn strong_line(&mut self, words: &str) -> Result<(), XlsxError> {
        self.worksheet.write_string_with_format(self.row, 0, fitting(words), &self.strong)?;
        self.row += 1;
        Ok(())
    }

    /// Leaves a row free.
    pub(in crate::report) fn skip(&mut self) {
        self.row += 1;
    }

    /// Sentences under their head, a row each, with a row free above.
    pub(in crate::report) fn section<S: AsRef<str>>(
        &mut self,
        head: &str,
        lines: &[S],
    ) -> Result<(), XlsxError> {
        self.skip();
        self.strong_line(head)?;
        lines.iter().try_for_each(|line| self.line(line.as_ref()))
    }

    /// A table whose rows are there already.
    pub(in crate::report) fn table(&mut self, table: &Table) -> Result<(), XlsxError> {
        let places = table.columns_in(Medium::Workbook);
        self.heads(&table.columns, &places)?;
        table.rows.iter().try_for_each(|row| self.row(&table.columns, &places, row))
    }

    /// A table as [`Sheet::table`], whose rows a reader can filter by their columns.
    pub(in crate::report) fn filtered(&mut self, table: &Table) -> Result<(), XlsxError> {
        self.table(table)?;
        self.filter()
    }

    /// The rows of a table, below its heads where they are not there yet: one table in parts.
    pub(in crate::report) fn continued(&mut self, table: &Table) -> Result<(), XlsxError> {
        let places = table.columns_in(Medium::Workbook);
        if self.heads.is_none() {
            self.heads(&table.columns, &places)?;
        }
        table.rows.iter().try_for_each(|row| self.row(&table.columns, &places, row))
    }

    /// Lets a reader filter the rows by the columns of the first heads.
    pub(in crate::report) fn filter(&mut self) -> Result<(), XlsxError> {
        let last = u16::try_from(self.widths.len().saturating_sub(1)).unwrap_or(u16::MAX);
        match self.heads {
            Some(heads) if self.row > heads + 1 => {
                self.worksheet.autofilter(heads, 0, self.row - 1, last).map(|_| ())
            }
            _ => Ok(()),
        }
    }

    /// Writes the heads of columns. What stands above the first heads and they themselves stay in
    /// sight, and so do the names that rows begin with.
    pub(in crate::report) fn heads(
        &mut self,
        columns: &[Column],
        places: &[usize],
    ) -> Result<(), XlsxError> {
        for (at, place) in (0_u16..).zip(places) {
            let column = &columns[*place];
            let words = match column.unit.as_str() {
                "" => head(column),
                unit => format!("{}, {unit}", head(column)),
            };
            self.worksheet.write_string_with_format(self.row, at, fitting(&words), &self.head)?;
            let (at, wide) = (usize::from(at), letters(column));
            if self.widths.len() <= at {
                self.widths.push(0.0);
            }
            if wide > self.widths[at] {
                self.widths[at] = wide;
                self.worksheet.set_column_width(u16::try_from(at).unwrap_or(u16::MAX), wide)?;
            }
        }
        self.row += 1;
        if self.heads.is_none() {
            self.heads = Some(self.row - 1);
            let leads = |place: &&usize| {
                matches!(columns[**place].quantity, Quantity::Name | Quantity::Time)
            };
            let names = places.iter().take_while(leads).count().min(3);
            self.worksheet.set_freeze_panes(self.row, u16::try_from(names).unwrap_or(0))?;
            self.worksheet.set_repeat_rows(self.row - 1, self.row - 1)?;
        }
        Ok(())
    }

    /// Writes a row below the heads of its columns.
    pub(in crate::report) fn row(
        &mut self,
        columns: &[Column],
        places: &[usize],
        row: &Row,
    ) -> Result<(), XlsxError> {
        for (at, place) in (0_u16..).zip(places) {
            if let Some(cell) = row.cells.get(*place) {
                self.cell(at, cell, row.quantity(&columns[*place]), places)?;
            }
        }
        self.row += 1;
        Ok(())
    }

    fn cell(
        &mut self,
        at: u16,
        cell: &Cell,
        quantity: Quantity,
        places: &[usize],
    ) -> Result<(), XlsxError> {
        let (row, sheet) = (self.row, &mut *self.worksheet);
        match &cell.value {
            Value::Words(words) if !words.is_empty() && cell.tone == Tone::Strong => {
                sheet.write_string_with_format(row, at, fitting(words), &self.strong)?;
            }
            Value::Words(words) if !words.is_empty() => {
                sheet.write_string(row, at, fitting(words))?;
            }
            Value::Part(done, all) => {
                sheet.write_string(row, at, format!("{done} of {all}"))?;
            }
            Value::Number(value) if value.is_finite() => {
                let format = formatted(&mut self.formats, quantity.format());
                // Adding zero turns -0 into 0.
                sheet.write_number_with_format(row, at, value + 0.0, format)?;
            }
            Value::Less(this, other, value) if value.is_finite() => {
                let [this, other] = [this, other].map(|place| address(places, *place, row));
                let less =
                    Formula::new(format!("={this}-{other}")).set_result((value + 0.0).to_string());
                let format = formatted(&mut self.formats, quantity.format());
                sheet.write_formula_with_format(row, at, less, format)?;
            }
            Value::LessInPercent(this, other, value) if value.is_finite() => {
                let [this, other] = [this, other].map(|place| address(places, *place, row));
                let part = format!("=IF({this}={other},0,100*({this}-{other})/ABS({other}))");
                let part = Formula::new(part).set_result((value + 0.0).to_string());
                let format = formatted(&mut self.formats, Quantity::Percent.format());
                sheet.write_formula_with_format(row, at, part, format)?;
            }
            Value::Time(period, at_time) => match date_time(period, *at_time) {
                Some(time) => {
                    let format = formatted(&mut self.formats, "yyyy-mm-dd hh:mm");
                    sheet.write_datetime_with_format(row, at, &time, format)?;
                }
                None => {
                    sheet.write_string(row, at, period.clock_stamp(*at_time))?;
                }
            },
            _ => {}
        }
        Ok(())
    }
}

/// The format of that look, made once.
fn formatted<'f>(all: &'f mut Vec<(&'static str, Format)>, look: &'static str) -> &'f Format {
    let place = all.iter().position(|(of, _)| *of == look).unwrap_or_else(|| {
        all.push((look, Format::new().set_num_format(look)));
        all.len() - 1
    });
    &all[place].1
}

/// The cell of a row in the column of that place, as `D5`.
fn address(places: &[usize], place: usize, row: u32) -> String {
    let column = places.iter().position(|it| *it == place).unwrap_or(0);
    rust_xlsxwriter::utility::row_col_to_cell(row, u16::try_from(column).unwrap_or(u16::MAX))
}

/// How wide a column is, in letters.
fn letters(column: &Column) -> f64 {
    match column.quantity {
        Quantity::Name => 24.0,
        Quantity::Words => 44.0,
        Quantity::Time => 17.0,
        _ => 13.0,
    }
}

/// What clocks show at a time, as spreadsheets count it; `None` before 1900, where they have none.
fn date_time(period: &Period, at: Instant) -> Option<ExcelDateTime> {
    let at = period.on_clocks(at);
    let date = period.date(at.day());
    let part = |value: i8| u8::try_from(value).ok();
    let year = u16::try_from(date.year()).ok().filter(|year| *year >= 1900)?;
    let day = ExcelDateTime::from_ymd(year, part(date.month())?, part(date.day())?).ok()?;
    let second = at.second_of_day();
    let hour = u16::try_from(second / 3600).ok()?;
    let minute = u8::try_from(second / 60 % 60).ok()?;
    day.and_hms(hour, minute, (second % 60) as f64).ok()
}
