//! A sheet that is written row by row.

use rust_xlsxwriter::{ExcelDateTime, Format, FormatAlign, Workbook, Worksheet, XlsxError};

use crate::measures::FigureUnit;
use crate::time::{Instant, Period};

/// The longest text that a cell takes, in characters.
const LONGEST: usize = 32_767;

/// How a number is shown. The cell holds it in full.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shown {
    /// Whole.
    Whole,
    /// One digit after the point.
    One,
    /// Two digits after the point.
    Two,
    /// Three digits after the point.
    Three,
}

impl Shown {
    /// How a figure of that unit is shown.
    pub(super) const fn of(unit: FigureUnit) -> Self {
        match unit {
            FigureUnit::Energy | FigureUnit::Power | FigureUnit::Mass => Self::Three,
            FigureUnit::Money => Self::Two,
            FigureUnit::Hours | FigureUnit::DegreeHours | FigureUnit::Percent => Self::One,
            FigureUnit::Count => Self::Whole,
        }
    }

    const fn code(self) -> &'static str {
        match self {
            Self::Whole => "#,##0",
            Self::One => "#,##0.0",
            Self::Two => "#,##0.00",
            Self::Three => "#,##0.000",
        }
    }
}

/// A cell of a row.
#[derive(Clone, Debug)]
pub(super) enum Cell {
    /// Words.
    Words(String),
    /// Words that should stand out.
    Strong(String),
    /// A number; `None` leaves the cell empty.
    Number(Option<f64>, Shown),
    /// A time.
    Time(Period, Instant),
}

impl From<&str> for Cell {
    fn from(words: &str) -> Self {
        Self::Words(words.to_owned())
    }
}

impl From<String> for Cell {
    fn from(words: String) -> Self {
        Self::Words(words)
    }
}

/// A text that a cell can take.
pub(super) fn fitting(text: &str) -> String {
    text.chars().take(LONGEST).collect()
}

/// One sheet.
pub(super) struct Page<'w> {
    sheet: &'w mut Worksheet,
    row: u32,
    strong: Format,
    head: Format,
    numbers: [Format; 4],
    time: Format,
}

impl<'w> Page<'w> {
    /// A new sheet of that name at the end of the workbook, landscape and as wide as a page.
    pub(super) fn add(workbook: &'w mut Workbook, name: &str) -> Result<Self, XlsxError> {
        let sheet = workbook.add_worksheet();
        sheet.set_name(name)?.set_landscape().set_print_fit_to_pages(1, 0);
        let number = |shown: Shown| Format::new().set_num_format(shown.code());
        Ok(Self {
            sheet,
            row: 0,
            strong: Format::new().set_bold(),
            head: Format::new()
                .set_bold()
                .set_text_wrap()
                .set_align(FormatAlign::Top)
                .set_border_bottom(rust_xlsxwriter::FormatBorder::Thin),
            numbers: [Shown::Whole, Shown::One, Shown::Two, Shown::Three].map(number),
            time: Format::new().set_num_format("yyyy-mm-dd hh:mm"),
        })
    }

    /// Widths of the columns in letters; the last one goes on for `more` columns.
    pub(super) fn widths(&mut self, widths: &[f64], more: usize) -> Result<(), XlsxError> {
        let last = widths.last().copied().unwrap_or(10.0);
        let all = widths.iter().copied().chain(std::iter::repeat_n(last, more));
        for (column, width) in (0_u16..).zip(all) {
            self.sheet.set_column_width(column, width)?;
        }
        Ok(())
    }

    /// Writes the heads of columns; what stands above and they themselves stay in sight.
    pub(super) fn heads(&mut self, heads: &[String], frozen_columns: u16) -> Result<(), XlsxError> {
        self.plain_heads(heads)?;
        self.sheet.set_freeze_panes(self.row, frozen_columns)?;
        self.sheet.set_repeat_rows(self.row - 1, self.row - 1)?;
        Ok(())
    }

    /// Writes the heads of a further table.
    pub(super) fn plain_heads(&mut self, heads: &[String]) -> Result<(), XlsxError> {
        for (column, head) in (0_u16..).zip(heads) {
            self.sheet.write_string_with_format(self.row, column, fitting(head), &self.head)?;
        }
        self.row += 1;
        Ok(())
    }

    /// Writes a row.
    pub(super) fn row(&mut self, cells: &[Cell]) -> Result<(), XlsxError> {
        for (column, cell) in (0_u16..).zip(cells) {
            self.cell(column, cell)?;
        }
        self.row += 1;
        Ok(())
    }

    /// Writes a line of words over all columns.
    pub(super) fn line(&mut self, words: &str) -> Result<(), XlsxError> {
        self.row(&[words.into()])
    }

    /// Writes a line of words that stand out.
    pub(super) fn strong_line(&mut self, words: &str) -> Result<(), XlsxError> {
        self.row(&[Cell::Strong(words.to_owned())])
    }

    /// Leaves a row free.
    pub(super) fn skip(&mut self) {
        self.row += 1;
    }

    /// Lets a reader filter the rows from `first` on by their columns.
    pub(super) fn filter(&mut self, first: u32, columns: usize) -> Result<(), XlsxError> {
        let last = u16::try_from(columns.saturating_sub(1)).unwrap_or(u16::MAX);
        if self.row > first + 1 {
            self.sheet.autofilter(first, 0, self.row - 1, last)?;
        }
        Ok(())
    }

    fn cell(&mut self, column: u16, cell: &Cell) -> Result<(), XlsxError> {
        let row = self.row;
        match cell {
            Cell::Words(words) if words.is_empty() => {}
            Cell::Words(words) => {
                self.sheet.write_string(row, column, fitting(words))?;
            }
            Cell::Strong(words) => {
                self.sheet.write_string_with_format(row, column, fitting(words), &self.strong)?;
            }
            Cell::Number(value, shown) => {
                if let Some(value) = value.filter(|value| value.is_finite()) {
                    let format = &self.numbers[*shown as usize];
                    // Adding zero turns -0 into 0.
                    self.sheet.write_number_with_format(row, column, value + 0.0, format)?;
                }
            }
            Cell::Time(period, at) => match date_time(period, *at) {
                Some(time) => {
                    self.sheet.write_datetime_with_format(row, column, &time, &self.time)?;
                }
                None => {
                    self.sheet.write_string(row, column, period.timestamp(*at))?;
                }
            },
        }
        Ok(())
    }
}

/// A time as spreadsheets count it; `None` before 1900, where they have none.
fn date_time(period: &Period, at: Instant) -> Option<ExcelDateTime> {
    let date = period.date(at.day());
    let part = |value: i8| u8::try_from(value).ok();
    let year = u16::try_from(date.year()).ok().filter(|year| *year >= 1900)?;
    let day = ExcelDateTime::from_ymd(year, part(date.month())?, part(date.day())?).ok()?;
    let second = at.second_of_day();
    let hour = u16::try_from(second / 3600).ok()?;
    let minute = u8::try_from(second / 60 % 60).ok()?;
    day.and_hms(hour, minute, (second % 60) as f64).ok()
}
