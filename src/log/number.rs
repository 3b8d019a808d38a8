//! Numbers as recorders write them.

/// What stands between whole numbers and fractions.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Decimal {
    /// A point.
    #[default]
    Point,
    /// A comma.
    Comma,
}

impl Decimal {
    /// The number in a cell; `None` where it is none, or not finite.
    pub fn parse(self, cell: &str) -> Option<f64> {
        let cell = cell.trim();
        let number = match self {
            Self::Comma if cell.contains('.') => None,
            Self::Comma if cell.contains(',') => plain(&cell.replacen(',', ".", 1)),
            Self::Point | Self::Comma => plain(cell),
        };
        number.filter(|value| value.is_finite())
    }
}

/// The standard library also reads words such as `inf` and `nan`, which no reading is.
fn plain(cell: &str) -> Option<f64> {
    let starts = |byte: u8| byte.is_ascii_digit() || matches!(byte, b'-' | b'+' | b'.');
    cell.bytes().next().filter(|first| starts(*first))?;
    let is_number = cell.bytes().all(|it| it.is_ascii_digit() || b"+-.eE".contains(&it));
    is_number.then(|| cell.parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_with_either_decimal_mark() {
        assert_eq!(Decimal::Point.parse(" 21.5 "), Some(21.5));
        assert_eq!(Decimal::Point.parse("21,5"), None);
        assert_eq!(Decimal::Comma.parse("21,5"), Some(21.5));
        assert_eq!(Decimal::Comma.parse("-3"), Some(-3.0));
        assert_eq!(Decimal::Comma.parse("21.5"), None);
        assert_eq!(Decimal::Comma.parse("1,2,3"), None);
    }

    #[test]
    fn words_are_no_numbers() {
        for word in ["", "nan", "inf", "-inf", "off", "0x10", "1e999", "--", "21 C", "1_000"] {
            assert_eq!(Decimal::Point.parse(word), None, "{word}");
        }
        assert_eq!(Decimal::Point.parse("1e2"), Some(100.0));
    }
}
