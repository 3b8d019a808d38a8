//! Words of the page that no other output needs.

/// A message of a fault as a sentence, without the marks that name keys of a file.
pub(super) fn sentence(message: &str) -> String {
    let plain: String = message.chars().filter(|letter| *letter != '`').collect();
    let plain = plain.replace('_', " ");
    let mut letters = plain.chars();
    let first = letters.next().map_or_else(String::new, |first| first.to_uppercase().collect());
    let text = first + letters.as_str();
    if text.ends_with('.') { text } else { text + "." }
}

#[cfg(test)]
mod tests {
    use super::sentence;

    #[test]
    fn a_message_becomes_a_sentence() {
        assert_eq!(sentence("`min_deadband` is 3"), "Min deadband is 3.");
    }
}
