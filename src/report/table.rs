//! Aligned tables for the terminal: no lines, heads over their columns, cut or wrapped to fit.

use super::fit::{clean, squeeze, truncate, width, wrap};
use super::style::{Style, Tone};

/// On which side of its column a text stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Align {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// What happens to a column when the line is too long.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fit {
    /// It keeps its width.
    Keep,
    /// Its texts are shortened from their middle, with `…` for what is gone.
    Cut,
    /// Its texts go on below.
    Wrap,
}

/// A column: its head, which may have several lines, and how its cells stand.
#[derive(Clone, Debug)]
pub struct Column {
    head: String,
    align: Align,
    fit: Fit,
}

impl Column {
    /// A column of words.
    pub fn words(head: &str, fit: Fit) -> Self {
        Self { head: head.into(), align: Align::Left, fit }
    }

    /// A column of numbers, which keeps its width.
    pub fn numbers(head: &str) -> Self {
        Self { head: head.into(), align: Align::Right, fit: Fit::Keep }
    }
}

/// One cell.
#[derive(Clone, Debug, Default)]
pub struct Cell {
    text: String,
    tone: Tone,
}

impl Cell {
    /// A cell in a tone.
    pub fn toned(text: impl AsRef<str>, tone: Tone) -> Self {
        Self { text: clean(text.as_ref()), tone }
    }
}

impl<T: AsRef<str>> From<T> for Cell {
    fn from(text: T) -> Self {
        Self::toned(text, Tone::Plain)
    }
}

/// A table to be filled row by row.
#[derive(Clone, Debug)]
pub struct Table {
    columns: Vec<Column>,
    rows: Vec<Vec<Cell>>,
}

/// Cells between two columns.
const GAP: usize = 2;
/// A column is not cut narrower than this.
const NARROWEST: usize = 8;

impl Table {
    /// An empty table.
    pub fn new(columns: Vec<Column>) -> Self {
        Self { columns, rows: Vec::new() }
    }

    /// Adds a row; missing cells are blank, cells beyond the last column are dropped.
    pub fn row(&mut self, cells: impl IntoIterator<Item = Cell>) {
        let mut cells: Vec<Cell> = cells.into_iter().collect();
        cells.resize(self.columns.len(), Cell::default());
        self.rows.push(cells);
    }

    /// The table as text, one line break after each line, nothing at the end of lines.
    pub fn render(&self, style: Style) -> String {
        let widths = self.widths(style.width);
        let mut out = String::new();
        self.render_heads(&widths, style, &mut out);
        for row in &self.rows {
            let cells: Vec<Vec<String>> = row
                .iter()
                .zip(&self.columns)
                .zip(&widths)
                .map(|((cell, column), width)| match column.fit {
                    Fit::Wrap => wrap(&cell.text, *width),
                    Fit::Keep | Fit::Cut => vec![squeeze(&cell.text, *width)],
                })
                .collect();
            let tones: Vec<Tone> = row.iter().map(|cell| cell.tone).collect();
            self.render_lines(&cells, &tones, &widths, style, &mut out);
        }
        out
    }

    fn render_heads(&self, widths: &[usize], style: Style, out: &mut String) {
        let heads: Vec<Vec<String>> = self
            .columns
            .iter()
            .zip(widths)
            .map(|(column, width)| column.head.lines().map(|line| truncate(line, *width)).collect())
            .collect();
        let tallest = heads.iter().map(Vec::len).max().unwrap_or(0);
        // Heads of fewer lines stand at the bottom, next to their cells.
        let sunk: Vec<Vec<String>> = heads
            .into_iter()
            .map(|lines| {
                let above = std::iter::repeat_n(String::new(), tallest - lines.len());
                above.chain(lines).collect()
            })
            .collect();
        let tones = vec![Tone::Faint; self.columns.len()];
        self.render_lines(&sunk, &tones, widths, style, out);
    }

    fn render_lines(
        &self,
        cells: &[Vec<String>],
        tones: &[Tone],
        widths: &[usize],
        style: Style,
        out: &mut String,
    ) {
        let lines = cells.iter().map(Vec::len).max().unwrap_or(0);
        for place in 0..lines {
            let mut blanks = 0;
            for (column, ((cell, tone), cells_wide)) in
                self.columns.iter().zip(cells.iter().zip(tones).zip(widths))
            {
                let text = cell.get(place).map_or("", String::as_str);
                let spare = cells_wide.saturating_sub(width(text));
                let (before, after) = match column.align {
                    Align::Left => (0, spare),
                    Align::Right => (spare, 0),
                };
                if text.is_empty() {
                    blanks += cells_wide + GAP;
                    continue;
                }
                // Blanks are owed, not written, so that no line ends in them.
                out.push_str(&" ".repeat(blanks + before));
                out.push_str(&style.paint(*tone, text));
                blanks = after + GAP;
            }
            out.push('\n');
        }
    }

    /// The width of each column: its widest cell, less what must go to fit the line.
    fn widths(&self, line: usize) -> Vec<usize> {
        let mut widths: Vec<usize> = (0..self.columns.len())
            .map(|place| {
                let head = self.columns[place].head.lines().map(width).max().unwrap_or(0);
                let cells = self.rows.iter().map(|row| width(&row[place].text)).max().unwrap_or(0);
                head.max(cells)
            })
            .collect();
        let gaps = GAP * widths.len().saturating_sub(1);
        let mut excess = (widths.iter().sum::<usize>() + gaps).saturating_sub(line);
        while excess > 0 {
            let widest = (0..widths.len())
                .filter(|place| self.columns[*place].fit != Fit::Keep && widths[*place] > NARROWEST)
                .max_by_key(|place| widths[*place]);
            let Some(place) = widest else { break };
            widths[place] -= 1;
            excess -= 1;
        }
        widths
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample() -> Table {
        let mut table = Table::new(vec![
            Column::words("zone", Fit::Cut),
            Column::numbers("served\nh"),
            Column::words("reason", Fit::Wrap),
        ]);
        table.row(["Reading room".into(), "1.5".into(), "cool moved from 23 to 24".into()]);
        table.row(["Hall".into(), Cell::toned("12.5", Tone::Warning)]);
        table
    }

    #[test]
    fn columns_are_aligned_and_lines_end_without_blanks() {
        let text = sample().render(Style { color: false, width: 80 });
        let wanted = concat!(
            "              served\n",
            "zone               h  reason\n",
            "Reading room     1.5  cool moved from 23 to 24\n",
            "Hall            12.5\n",
        );
        assert_eq!(text, wanted);
    }

    #[test]
    fn what_is_too_wide_is_cut_or_wrapped() {
        let text = sample().render(Style { color: false, width: 34 });
        assert!(text.lines().all(|line| width(line) <= 34), "{text}");
        assert!(text.contains("cool moved"), "{text}");
    }

    #[test]
    fn colour_does_not_move_columns() {
        let style = Style { color: true, width: 80 };
        let painted = sample().render(style);
        assert!(painted.contains("\u{1b}[33m12.5\u{1b}[0m"));
        let mut bare = painted;
        for code in ["\u{1b}[33m", "\u{1b}[2m", "\u{1b}[0m"] {
            bare = bare.replace(code, "");
        }
        assert_eq!(bare, sample().render(Style { color: false, ..style }));
    }
}
