//! Values as they are written into a scenario file: on one line, in brackets where they are more
//! than one, and in quotes wherever plain text would mean something else.

use serde_json::Value;

/// The value as YAML that can stand anywhere, also in brackets.
pub fn written(value: &Value) -> String {
    match value {
        Value::String(text) if is_plain(text) => text.clone(),
        Value::Array(items) => {
            let items: Vec<String> = items.iter().map(written).collect();
            format!("[{}]", items.join(", "))
        }
        Value::Object(entries) => {
            let entries: Vec<String> = entries
                .iter()
                .map(|(key, value)| {
                    format!("{}: {}", written(&Value::from(&**key)), written(value))
                })
                .collect();
            format!("{{{}}}", entries.join(", "))
        }
        Value::Number(number) => shortest(number),
        // JSON is YAML: what is quoted in the one is quoted in the other.
        other => other.to_string(),
    }
}

/// `20` rather than `20.0`.
fn shortest(number: &serde_json::Number) -> String {
    number.as_f64().map_or_else(|| number.to_string(), |value| value.to_string())
}

/// Whether a text needs no quotes: a word or some, or a number with its unit.
fn is_plain(text: &str) -> bool {
    const MEANS_MORE: [&str; 9] = ["true", "false", "null", "yes", "no", "y", "n", "nan", "inf"];
    let letters = |letter: char| letter.is_ascii_alphanumeric() || " _-.".contains(letter);
    let Some(first) = text.chars().next() else { return false };
    let words = first.is_ascii_alphabetic() && !MEANS_MORE.contains(&&*text.to_lowercase());
    let size = text.split_once(' ').is_some_and(|(number, unit)| {
        number.parse::<f64>().is_ok() && unit.chars().all(|letter| letter.is_ascii_alphabetic())
    });
    (words || size) && text.chars().all(letters) && !text.ends_with(' ')
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::written;

    #[test]
    fn values_are_written_as_people_would() {
        for (value, text) in [
            (json!(20.0), "20"),
            (json!(20.5), "20.5"),
            (json!("auto"), "auto"),
            (json!("10 min"), "10 min"),
            (json!("front desk"), "front desk"),
            (json!(true), "true"),
            (json!([17.0, 22.5]), "[17, 22.5]"),
            (json!({"keys": ["mode"], "in_force": true}), "{in_force: true, keys: [mode]}"),
        ] {
            assert_eq!(written(&value), text);
        }
    }

    #[test]
    fn text_that_would_mean_something_else_is_quoted() {
        for text in ["08:40", "21", "yes", "a, b", "x: y", "# no comment", "", "a\nb: 1", "{x}"] {
            let quoted = written(&json!(text));
            assert!(quoted.starts_with('"') && !quoted.contains('\n'), "{quoted}");
        }
    }
}
