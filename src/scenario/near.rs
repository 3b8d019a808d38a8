//! The known word nearest to one that is not known.

/// Longer words are no slips of the pen, and comparing them costs time.
const LONGEST: usize = 64;

/// The nearest of some known words; `None` only where there are none.
pub fn nearest<'w>(word: &str, known: impl IntoIterator<Item = &'w str>) -> Option<&'w str> {
    let start: String = word.chars().take(LONGEST).collect::<String>().to_lowercase();
    let likeness = |name: &str| {
        let alike = strsim::normalized_damerau_levenshtein(&start, &name.to_lowercase());
        // `deadband` for `min_deadband`: part of a name is nearer than its length says.
        let part = start.len() > 2 && (name.contains(&start) || start.contains(name));
        if part { alike.max(0.8) } else { alike }
    };
    let mut best: Option<(&str, f64)> = None;
    for name in known {
        let score = likeness(name);
        if best.is_none_or(|(_, most)| score > most) {
            best = Some((name, score));
        }
    }
    best.map(|(name, _)| name)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn slips_find_their_word() {
        let keys = ["heat", "cool", "min_deadband", "mode", "power"];
        assert_eq!(nearest("heta", keys), Some("heat"));
        assert_eq!(nearest("deadband", keys), Some("min_deadband"));
        assert_eq!(nearest("Mode", keys), Some("mode"));
        assert_eq!(nearest("zzz", [] as [&str; 0]), None);
    }
}
