//! Content as HTML. `maud` escapes whatever goes in as words; what comes from a file goes in as
//! [`Words`] or [`Breakable`].

use maud::{DOCTYPE, Markup, PreEscaped, Render, html};

use super::fit::clean;
use super::head;
use crate::report::content::{Cell, Medium, Quantity, Row, Table, Value, signed_percent};

/// Words as they are, whatever they are. Control characters, which HTML does not allow, become
/// spaces.
pub(in crate::report) struct Words<'a>(pub(in crate::report) &'a str);

impl Render for Words<'_> {
    fn render_to(&self, to: &mut String) {
        clean(self.0).render_to(to);
    }
}

/// Words of a cell: those that no column could hold may break.
pub(in crate::report) struct Breakable<'a>(pub(in crate::report) &'a str);

impl Render for Breakable<'_> {
    fn render_to(&self, to: &mut String) {
        for (place, piece) in pieces(self.0).into_iter().enumerate() {
            if place > 0 {
                to.push_str("<wbr>");
            }
            Words(piece).render_to(to);
        }
    }
}

/// A word of more letters than this may break in a table.
const LONGEST_PIECE: usize = 18;

/// A text in pieces, between which a line may break though there is no space.
fn pieces(words: &str) -> Vec<&str> {
    let (mut all, mut start, mut letters) = (Vec::new(), 0, 0);
    for (at, c) in words.char_indices() {
        letters = if c.is_whitespace() { 0 } else { letters + 1 };
        if letters > LONGEST_PIECE {
            all.push(&words[start..at]);
            (start, letters) = (at, 1);
        }
    }
    all.push(&words[start..]);
    all
}

/// The style of pages that are printed, signed and filed.
pub(in crate::report) const PAPER: &str = include_str!("../assets/paper.css");

/// Nothing is fetched, whatever stands in a page; styles and scripts are its own.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'";

/// A page in one file, which needs no network. `head` goes behind its title: style sheets, and what
/// they ask of the browser.
pub(in crate::report) fn document(title: &str, head: &Markup, body: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                title { (Words(title)) }
                (head)
            }
            body { (body) }
        }
    };
    page.into_string()
}

/// JSON within a script element, in which nothing may look like the script's end.
pub(in crate::report) fn script_json(json: &str) -> String {
    json.replace('<', "\\u003c")
}

/// A section with its head, where there is anything in it.
pub(in crate::report) fn section(id: &str, head: &str, inside: &Markup) -> Markup {
    html! {
        @if !inside.0.is_empty() {
            section id=(id) { h2 { (head) } (inside) }
            (LINE)
        }
    }
}

/// Lines of a page end somewhere.
pub(in crate::report) const LINE: PreEscaped<&str> = PreEscaped("\n");

/// A paragraph.
pub(in crate::report) fn text(words: &str) -> Markup {
    html! { p.text { (Words(words)) } (LINE) }
}

/// Sentences as a list.
pub(in crate::report) fn list<S: AsRef<str>>(sentences: &[S]) -> Markup {
    html! {
        @if !sentences.is_empty() {
            ul { @for sentence in sentences { li { (Words(sentence.as_ref())) } (LINE) } }
        }
    }
}

/// A table of numbers. Each says in `data-figure` which figure of the JSON it is, and in
/// `data-head` what its column is called, for narrow windows, which have no room for heads. What
/// differs from another column stands in the cell before it.
pub(in crate::report) fn table(table: &Table, class: &str) -> Markup {
    let places = table.columns_in(Medium::Page);
    let heads: Vec<String> = places
        .iter()
        .map(|place| {
            let column = &table.columns[*place];
            format!("{} {}", head(column), column.unit).trim_end().to_owned()
        })
        .collect();
    let words = |place: usize| table.columns[place].quantity.is_words().then_some("words");
    let differs = |at: usize| places.get(at).is_some_and(|place| table.columns[*place].differs);
    html! {
        table class=(class) {
            thead {
                tr {
                    @for (at, head) in heads.iter().enumerate().filter(|(at, _)| !differs(*at)) {
                        th scope="col" class=[words(places[at])] { (Breakable(head)) }
                    }
                }
            }
            tbody {
                @for row in table.rows.iter().filter(|row| !row.cells.is_empty()) {
                    tr {
                        @for (at, place) in places.iter().enumerate().filter(|(at, _)| !differs(*at)) {
                            @let cell = &row.cells[*place];
                            @let text = written(cell, row.quantity(&table.columns[*place]));
                            @if at == 0 {
                                th scope="row" { (Breakable(&text)) }
                            } @else {
                                td class=[words(*place)] data-head=(Words(&heads[at])) {
                                    (number(cell, &text))
                                    (difference(table, row, &places[at + 1..]))
                                }
                            }
                        }
                    }
                    (LINE)
                }
            }
        }
        (LINE)
    }
}

fn number(cell: &Cell, words: &str) -> Markup {
    html! {
        @if cell.figure.is_empty() { (Breakable(words)) } @else {
            span data-figure=(Words(&cell.figure)) { (words) }
        }
    }
}

/// How a cell differs, from the columns behind it that say so.
fn difference(table: &Table, row: &Row, behind: &[usize]) -> Markup {
    let parts = behind.iter().take_while(|place| table.columns[**place].differs);
    let parts: Vec<String> = parts
        .map(|place| written(&row.cells[*place], row.quantity(&table.columns[*place])))
        .filter(|words| !words.is_empty())
        .collect();
    html! {
        @match parts.as_slice() {
            [] => {}
            [absolute, ..] if absolute == "0" => span.difference { "same" },
            [absolute] => span.difference { (absolute) },
            [absolute, percent, ..] => span.difference { (absolute) " (" (percent) ")" },
        }
    }
}

/// A value as a page shows it.
fn written(cell: &Cell, quantity: Quantity) -> String {
    match &cell.value {
        Value::Nothing => String::new(),
        Value::Words(words) => words.clone(),
        Value::Number(value) => quantity.shown(*value),
        Value::Part(_, 0) => "none".into(),
        Value::Part(done, all) => format!("{done} of {all}"),
        Value::Time(period, at) => crate::report::figures::moment(period, *at),
        Value::Less(.., value) => quantity.signed(*value),
        Value::LessInPercent(.., value) => signed_percent(*value),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stay_words() {
        let cell =
            html! { td title=(Words("\"><b>")) { (Words("<script>a && 'b'</script>\u{1b}")) } };
        let html = "<td title=\"&quot;&gt;&lt;b&gt;\">&lt;script&gt;a &amp;&amp; 'b'\
                    &lt;/script&gt; </td>";
        assert_eq!(cell.into_string(), html);
    }

    #[test]
    fn only_words_that_are_too_long_may_break() {
        assert_eq!(pieces("a minimum deadband"), ["a minimum deadband"]);
        assert_eq!(pieces("a 1234567890123456789 b"), ["a 123456789012345678", "9 b"]);
        assert_eq!(pieces(""), [""]);
    }
}
