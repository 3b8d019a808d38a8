//! Texts and numbers of a file as messages show them.

/// A text as messages show it: on one line and not too long.
pub(super) fn shortened(text: &str) -> String {
    const LONGEST: usize = 60;
    let visible = |letter: char| if letter.is_control() { ' ' } else { letter };
    let mut shown: String = text.chars().take(LONGEST).map(visible).collect();
    if text.chars().nth(LONGEST).is_some() {
        shown.push_str("...");
    }
    shown
}

/// A number for people: at most six decimals, without the noise of a conversion.
pub(super) fn tidy(value: f64) -> String {
    let rounded = libm::round(value * 1e6) / 1e6;
    if rounded.abs() < 1e15 { rounded.to_string() } else { format!("{value:e}") }
}
