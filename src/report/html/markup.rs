//! HTML text: elements whose words can hold nothing but words, and templates.

/// A piece of HTML that grows. Whatever comes from a file goes in as words.
#[derive(Clone, Debug, Default)]
pub(super) struct Markup(String);

/// A word of more letters than this may break in a table.
const LONGEST_PIECE: usize = 18;

/// Names and values of an element's attributes.
pub(super) type Attributes<'a> = &'a [(&'a str, &'a str)];

impl Markup {
    /// Words as they are, whatever they are.
    pub(super) fn words(&mut self, words: &str) {
        escape(words, &mut self.0);
    }

    /// HTML that was made by this program.
    pub(super) fn html(&mut self, html: &str) {
        self.0.push_str(html);
    }

    /// An element with words in it.
    pub(super) fn element(&mut self, name: &str, attributes: Attributes, words: &str) {
        self.within(name, attributes, |inside| inside.words(words));
    }

    /// A cell of a table. Words that no column could hold may break.
    pub(super) fn cell(&mut self, name: &str, attributes: Attributes, words: &str) {
        self.within(name, attributes, |inside| {
            for (place, piece) in pieces(words).into_iter().enumerate() {
                if place > 0 {
                    inside.html("<wbr>");
                }
                inside.words(piece);
            }
        });
    }

    /// An element with whatever `fill` puts in it.
    pub(super) fn within(
        &mut self,
        name: &str,
        attributes: Attributes,
        fill: impl FnOnce(&mut Self),
    ) {
        self.0.push('<');
        self.0.push_str(name);
        for (key, value) in attributes {
            self.0.push(' ');
            self.0.push_str(key);
            self.0.push_str("=\"");
            escape(value, &mut self.0);
            self.0.push('"');
        }
        self.0.push('>');
        fill(self);
        self.0.push_str("</");
        self.0.push_str(name);
        self.0.push_str(">\n");
    }

    /// A section with its head, where there is anything to put in it.
    pub(super) fn section(&mut self, id: &str, head: &str, fill: impl FnOnce(&mut Self)) {
        let mut inside = Self::default();
        fill(&mut inside);
        if !inside.0.is_empty() {
            self.within("section", &[("id", id)], |section| {
                section.element("h2", &[], head);
                section.html(&inside.0);
            });
        }
    }

    /// Sentences as a list.
    pub(super) fn list<S: AsRef<str>>(&mut self, sentences: &[S]) {
        if !sentences.is_empty() {
            self.within("ul", &[], |list| {
                for sentence in sentences {
                    list.element("li", &[], sentence.as_ref());
                }
            });
        }
    }

    pub(super) fn into_html(self) -> String {
        self.0
    }
}

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

/// Words as HTML has them. Control characters, which HTML does not allow, become spaces.
pub(super) fn escape(words: &str, to: &mut String) {
    for c in words.chars() {
        match c {
            '<' => to.push_str("&lt;"),
            '>' => to.push_str("&gt;"),
            '&' => to.push_str("&amp;"),
            '"' => to.push_str("&quot;"),
            '\'' => to.push_str("&#39;"),
            c if c.is_control() => to.push(' '),
            c => to.push(c),
        }
    }
}

/// Words as HTML has them.
pub(super) fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    escape(words, &mut out);
    out
}

/// A template with the values of its places, each written `{{name}}`. Values are not looked into,
/// so that nothing in a title can name a place.
pub(super) fn filled(template: &str, values: &[(&str, &str)]) -> String {
    let mut out = String::with_capacity(template.len());
    let mut rest = template;
    while let Some((before, after)) = rest.split_once("{{") {
        out.push_str(before);
        let (name, after) = after.split_once("}}").unwrap_or((after, ""));
        out.push_str(values.iter().find(|(known, _)| *known == name).map_or("", |it| it.1));
        rest = after;
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stay_words() {
        let mut markup = Markup::default();
        markup.element("td", &[("title", "\"><b>")], "<script>a && 'b'</script>\u{1b}");
        let html = "<td title=\"&quot;&gt;&lt;b&gt;\">&lt;script&gt;a &amp;&amp; &#39;b&#39;\
                    &lt;/script&gt; </td>\n";
        assert_eq!(markup.into_html(), html);
    }

    #[test]
    fn only_words_that_are_too_long_may_break() {
        assert_eq!(pieces("a minimum deadband"), ["a minimum deadband"]);
        assert_eq!(pieces("a 1234567890123456789 b"), ["a 123456789012345678", "9 b"]);
        assert_eq!(pieces(""), [""]);
    }

    #[test]
    fn a_value_cannot_name_a_place() {
        let values = [("title", "{{script}}"), ("script", "run()")];
        assert_eq!(filled("<i>{{title}}</i>{{script}}", &values), "<i>{{script}}</i>run()");
        assert_eq!(filled("{{unknown}}.", &values), ".");
    }
}
