//! How text may look on the terminal at hand.

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

/// What a piece of text is about. Colour only repeats what the words say.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Tone {
    /// Nothing in particular.
    #[default]
    Plain,
    /// Something to be read first.
    Strong,
    /// Something that may be passed over.
    Faint,
    /// About heating.
    Heating,
    /// About cooling.
    Cooling,
    /// Something that went against a wish.
    Warning,
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

/// Adds a body of text under its head; nothing where there is no body.
pub(super) fn section(out: &mut String, style: Style, head: &str, body: &str) {
    if !body.is_empty() {
        out.push('\n');
        out.push_str(&style.paint(Tone::Strong, head));
        out.push('\n');
        out.push_str(body.trim_end());
        out.push('\n');
    }
}
