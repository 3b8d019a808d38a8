//! Content as text for the terminal: plain words, aligned columns, colour only where the terminal
//! takes it, and no line wider than the terminal.

use super::fit::{breaks, clean, hang, shortened, width, wrap};
use crate::report::content::{
    Cell, Column, Medium, Quantity, Row, Table, Tone, Value, signed_percent,
};

/// What the terminal takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// Whether colour may be used.
    pub color: bool,
    /// Cells in a line.
    pub width: usize,
}

impl Default for Style {
    /// 80 columns and no colour.
    fn default() -> Self {
        Self { color: false, width: 80 }
    }
}

impl Tone {
    /// The terminal's own colours, so that they suit its background.
    const fn code(self) -> Option<&'static str> {
        match self {
            Self::Plain => None,
            Self::Strong => Some("1"),
            Self::Faint => Some("2"),
            Self::Heating => Some("31"),
            Self::Cooling => Some("36"),
            Self::Warning => Some("33"),
        }
    }
}

impl Style {
    /// The text in its tone, where colour may be used.
    pub fn paint(self, tone: Tone, text: &str) -> String {
        match tone.code() {
            Some(code) if self.color && !text.is_empty() => {
                format!("\u{1b}[{code}m{text}\u{1b}[0m")
            }
            _ => text.to_owned(),
        }
    }
}

/// Adds a paragraph that is read first.
pub(in crate::report) fn strong(out: &mut String, style: Style, words: &str) {
    for line in hang("", &clean(words), style.width).lines() {
        out.push_str(&style.paint(Tone::Strong, line));
        out.push('\n');
    }
}

/// Adds a body of text under its head; nothing where there is no body.
pub(in crate::report) fn section(out: &mut String, style: Style, head: &str, body: &str) {
    if !body.is_empty() {
        out.push('\n');
        strong(out, style, head);
        out.push_str(body.trim_end());
        out.push('\n');
    }
}

/// Sentences, each a paragraph that is set in from the left.
pub(in crate::report) fn list<S: AsRef<str>>(sentences: &[S], style: Style) -> String {
    sentences.iter().map(|it| hang("  ", &clean(it.as_ref()), style.width)).collect()
}

/// Adds where files are. Paths are not broken, so that they can be copied.
pub(in crate::report) fn files(out: &mut String, style: Style, files: &[String]) {
    let lines: String = files.iter().flat_map(|it| ["  ".into(), clean(it), "\n".into()]).collect();
    section(out, style, "Files", &lines);
}

/// Cells between two columns.
const GAP: usize = 2;
/// A column of words is not made narrower than this.
const NARROWEST: usize = 8;
/// Words that go on below have so much room before names are cut.
const WORDS_HAVE: usize = 20;
/// Heads of numbers are broken where they are wider than this.
const WIDEST_HEAD: usize = 12;

/// A table, one line break after each line, nothing at the end of lines. Columns that find no room
/// go on below, behind the names of the rows.
pub(in crate::report) fn table(table: &Table, style: Style) -> String {
    let blocks = blocks(table, style.width);
    let parts: Vec<String> = blocks.iter().map(|block| block.render(style)).collect();
    parts.join("\n")
}

/// The columns as they stand below each other.
fn blocks(table: &Table, line: usize) -> Vec<Block<'_>> {
    let all = table.columns_in(Medium::Terminal);
    let named = all.iter().position(|place| table.columns[*place].quantity.is_words());
    let (lead, rest) = all.split_at(named.map_or(0, |at| at + 1).min(all.len()));
    let mut blocks: Vec<Vec<usize>> = vec![lead.to_vec()];
    for place in rest {
        let mut with: Vec<usize> = blocks.last().cloned().unwrap_or_default();
        let begun = with.len() > lead.len();
        with.push(*place);
        if begun && Block::of(table, &with).least_width() > line {
            with = lead.iter().copied().chain([*place]).collect();
            blocks.push(with);
        } else if let Some(last) = blocks.last_mut() {
            *last = with;
        }
    }
    blocks.iter().map(|columns| Block::of(table, columns)).collect()
}

/// Columns beside each other, with their cells as text.
struct Block<'t> {
    columns: Vec<&'t Column>,
    rows: Vec<Vec<(String, Tone)>>,
}

impl<'t> Block<'t> {
    fn of(table: &'t Table, places: &[usize]) -> Self {
        let columns: Vec<&Column> = places.iter().map(|place| &table.columns[*place]).collect();
        let text = |row: &Row, place: &usize| match row.cells.get(*place) {
            Some(cell) => (written(cell, row.quantity(&table.columns[*place])), cell.tone),
            None => (String::new(), Tone::Plain),
        };
        let rows = table.rows.iter();
        let rows = rows.map(|row| places.iter().map(|place| text(row, place)).collect()).collect();
        Self { columns, rows }
    }

    fn natural_width(&self, at: usize) -> usize {
        let column = self.columns[at];
        let head = own_head(column).iter().map(|line| width(line)).max().unwrap_or(0);
        // A short head of a group has room over its first column; a long one stands over more.
        let shared = width(&shared_head(column));
        let shared = if self.begins_group(at) && shared <= NARROWEST { shared } else { 0 };
        let cells = self.rows.iter().map(|row| width(&row[at].0)).max().unwrap_or(0);
        head.max(shared).max(cells)
    }

    fn begins_group(&self, at: usize) -> bool {
        let group = self.columns[at].group;
        !group.is_empty() && (at == 0 || self.columns[at - 1].group != group)
    }

    /// The lines of the heads, in columns so wide. Heads of fewer lines stand at the bottom, next to
    /// their cells.
    fn heads(&self, widths: &[usize]) -> Vec<(Vec<String>, Tone)> {
        let lines = |at: usize| -> Vec<String> {
            let column = self.columns[at];
            let own = own_head(column).into_iter().flat_map(|line| wrap(&line, widths[at]));
            if !self.begins_group(at) {
                return own.collect();
            }
            let with = |it: &&Column| it.group == column.group;
            let columns = self.columns[at..].iter().copied().take_while(with).count();
            let span = widths[at..at + columns].iter().sum::<usize>() + GAP * (columns - 1);
            wrap(&shared_head(column), span).into_iter().chain(own).collect()
        };
        let heads: Vec<Vec<String>> = (0..self.columns.len()).map(lines).collect();
        let tallest = heads.iter().map(Vec::len).max().unwrap_or(0);
        let sunk = heads.into_iter().map(|lines| {
            let above = std::iter::repeat_n(String::new(), tallest - lines.len());
            (above.chain(lines).collect(), Tone::Faint)
        });
        sunk.collect()
    }

    /// The width with all columns of words as narrow as they get.
    fn least_width(&self) -> usize {
        let columns = (0..self.columns.len()).map(|at| {
            let natural = self.natural_width(at);
            if self.columns[at].quantity.is_words() { natural.min(NARROWEST) } else { natural }
        });
        columns.sum::<usize>() + GAP * self.columns.len().saturating_sub(1)
    }

    /// The width of each column: its widest cell, less what must go to fit the line.
    fn widths(&self, line: usize) -> Vec<usize> {
        let mut widths: Vec<usize> =
            (0..self.columns.len()).map(|at| self.natural_width(at)).collect();
        let gaps = GAP * widths.len().saturating_sub(1);
        let mut excess = (widths.iter().sum::<usize>() + gaps).saturating_sub(line);
        while excess > 0 {
            // Words that go on below give way before names, which are cut.
            let yields = |at: &usize| {
                let words = self.columns[*at].quantity == Quantity::Words;
                (words && widths[*at] > WORDS_HAVE, widths[*at])
            };
            let widest = (0..widths.len())
                .filter(|at| self.columns[*at].quantity.is_words() && widths[*at] > NARROWEST)
                .max_by_key(yields);
            let Some(at) = widest else { break };
            widths[at] -= 1;
            excess -= 1;
        }
        widths
    }

    fn render(&self, style: Style) -> String {
        let widths = self.widths(style.width);
        let mut out = String::new();
        self.lines(&self.heads(&widths), &widths, style, &mut out);
        let short: Vec<Option<Vec<String>>> =
            (0..widths.len()).map(|at| self.shortened(at, widths[at])).collect();
        for (place, row) in self.rows.iter().enumerate() {
            let cell = |(at, (text, tone)): (usize, &(String, Tone))| match &short[at] {
                Some(names) => (vec![names[place].clone()], *tone),
                None => (wrap(text, widths[at]), *tone),
            };
            let cells: Vec<(Vec<String>, Tone)> = row.iter().enumerate().map(cell).collect();
            self.lines(&cells, &widths, style, &mut out);
        }
        out
    }

    /// The names of a column in so many cells; `None` where they go on below instead.
    fn shortened(&self, at: usize, cells: usize) -> Option<Vec<String>> {
        if self.columns[at].quantity == Quantity::Words {
            return None;
        }
        let names: Vec<&str> = self.rows.iter().map(|row| row[at].0.as_str()).collect();
        shortened(&names, cells)
    }

    fn lines(
        &self,
        cells: &[(Vec<String>, Tone)],
        widths: &[usize],
        style: Style,
        out: &mut String,
    ) {
        let lines = cells.iter().map(|(lines, _)| lines.len()).max().unwrap_or(0);
        for place in 0..lines {
            let (mut begin, mut written) = (0, 0);
            for (column, ((lines, tone), cells_wide)) in
                self.columns.iter().zip(cells.iter().zip(widths))
            {
                let text = lines.get(place).map_or("", String::as_str);
                let spare = cells_wide.saturating_sub(width(text));
                let at = if column.quantity.is_words() { begin } else { begin + spare };
                // Blanks are written before words only, so that no line ends in them.
                if !text.is_empty() {
                    out.push_str(&" ".repeat(at.saturating_sub(written)));
                    out.push_str(&style.paint(*tone, text));
                    written = at + width(text);
                }
                begin += cells_wide + GAP;
            }
            out.push('\n');
        }
    }
}

/// A value as a terminal shows it.
fn written(cell: &Cell, quantity: Quantity) -> String {
    match &cell.value {
        Value::Nothing => String::new(),
        Value::Words(words) => clean(words),
        Value::Number(value) => quantity.shown(*value),
        Value::Less(.., value) => quantity.signed(*value),
        Value::LessInPercent(.., value) => signed_percent(*value),
        Value::Part(done, all) => format!("{done}/{all}"),
        Value::Time(period, at) => period.clock(*at),
    }
}

/// What the columns of a group share.
fn shared_head(column: &Column) -> String {
    format!("{} {}", column.group, column.unit).trim().to_owned()
}

/// The lines of a column's own head: numbers have it in two lines, as narrow as that gets.
fn own_head(column: &Column) -> Vec<String> {
    let unit = if column.group.is_empty() { column.unit.as_str() } else { "" };
    let words = clean(&format!("{} {unit}", column.head));
    if column.quantity.is_words() { vec![words.trim().to_owned()] } else { in_two(words.trim()) }
}

/// A head in at most two lines, as narrow as that gets, and in more where it would be too wide.
fn in_two(words: &str) -> Vec<String> {
    let narrowest =
        breaks(words).into_iter().min_by_key(|(above, below)| width(above).max(width(below)));
    match narrowest {
        Some((above, below)) if width(&above).max(width(&below)) <= WIDEST_HEAD => {
            vec![above, below]
        }
        None if width(words) <= WIDEST_HEAD => vec![words.to_owned()],
        _ => wrap(&words.replace('\u{ad}', "").replace('_', "_ "), WIDEST_HEAD),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample() -> Table {
        let mut table = Table::new(vec![
            Column::new("zone", Quantity::Name),
            Column { unit: "h".into(), ..Column::new("served", Quantity::Hours) },
            Column::new("reason", Quantity::Words),
        ]);
        table.row(["Reading room".into(), 1.5.into(), "cool moved from 23 to 24".into()]);
        table.row(["Hall".into(), Cell::toned(12.5, Tone::Warning)]);
        table
    }

    #[test]
    fn columns_are_aligned_and_lines_end_without_blanks() {
        let text = table(&sample(), Style { color: false, width: 80 });
        let wanted = concat!(
            "              served\n",
            "zone               h  reason\n",
            "Reading room     1.5  cool moved from 23 to 24\n",
            "Hall            12.5\n",
        );
        assert_eq!(text, wanted);
    }

    #[test]
    fn what_is_too_wide_is_shortened_or_wrapped() {
        let text = table(&sample(), Style { color: false, width: 34 });
        assert!(text.lines().all(|line| width(line) <= 34), "{text}");
        assert!(text.contains("cool moved"), "{text}");
    }

    #[test]
    fn columns_without_room_go_on_below_behind_the_names() {
        let mut wide = Table::new(vec![
            Column::new("zone", Quantity::Name),
            Column::new("low", Quantity::Temperature).under("air"),
            Column::new("high", Quantity::Temperature).under("air"),
        ]);
        wide.row(["Hall".into(), 18.0.into(), 24.0.into()]);
        let text = table(&wide, Style { color: false, width: 12 });
        let wanted = "       air\nzone   low\nHall  18.0\n\n       air\nzone  high\nHall  24.0\n";
        assert_eq!(text, wanted);
    }

    #[test]
    fn names_stay_unlike_each_other() {
        let mut table =
            Table::new(vec![Column::new("zone", Quantity::Name), Column::new("", Quantity::Count)]);
        for name in ["Meeting room east one", "Meeting room west one", "Meeting room west two"] {
            table.row([name.into(), 1_u64.into()]);
        }
        // The narrowest names, a gap and a digit need 11.
        for width in [60, 24, 20, 16, 12, 11] {
            let text = super::table(&table, Style { color: false, width });
            assert!(text.lines().all(|line| super::width(line) <= width), "{text}");
            // Every name, in one line or several; each number stands behind the first line.
            let mut names: Vec<String> = Vec::new();
            for line in text.lines().skip(1) {
                match (line.strip_suffix('1'), names.last_mut()) {
                    (None, Some(name)) => name.push_str(line),
                    (numbered, _) => names.push(numbered.unwrap_or(line).trim_end().to_owned()),
                }
            }
            names.sort();
            names.dedup();
            assert_eq!(names.len(), 3, "{text}");
        }
    }

    #[test]
    fn heads_break_where_they_may() {
        assert_eq!(in_two("out of band h"), ["out of", "band h"]);
        assert_eq!(in_two("change\u{ad}overs"), ["change-", "overs"]);
        assert_eq!(in_two("late"), ["late"]);
        assert_eq!(in_two("wide_and_early_start"), ["wide_and_", "early_start"]);
        assert!(in_two("a_name_that_is_really_far_longer_than_others").len() > 2);
    }

    #[test]
    fn colour_does_not_move_columns() {
        let style = Style { color: true, width: 80 };
        let painted = table(&sample(), style);
        assert!(painted.contains("\u{1b}[33m12.5\u{1b}[0m"));
        let mut bare = painted;
        for code in ["\u{1b}[33m", "\u{1b}[2m", "\u{1b}[0m"] {
            bare = bare.replace(code, "");
        }
        assert_eq!(bare, table(&sample(), Style { color: false, ..style }));
    }
}
