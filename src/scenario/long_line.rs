//! Tables, a row a line: one whose line has no end is not read to its end.

use std::io::{self, Read};

/// No row of readings is longer, bytes; the widest of logs have a tenth of it.
const LONGEST: usize = 256 << 10;
/// So much is read at a time, bytes.
const PIECE: u64 = 64 << 10;
/// The first bytes of what is packed: gzip (RFC 1952, 2.3.1), and zip, which a workbook is.
const PACKED: [&[u8]; 2] = [b"\x1f\x8b", b"PK\x03\x04"];
/// How many letters of the line a message repeats.
const SHOWN: usize = 60;

/// A line that is too long.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct LongLine {
    /// Which, from 1.
    pub(super) number: u32,
    /// Its first letters.
    pub(super) begins: String,
    /// What is wrong.
    pub(super) why: String,
    /// What would mend it.
    pub(super) help: &'static str,
}

/// Reads a table, or something packed that may hold one. Of a text nothing is read behind a line
/// that is too long.
///
/// # Errors
/// Those of reading; within them the line that is too long.
pub(super) fn table_from(mut from: impl Read) -> io::Result<Result<Vec<u8>, LongLine>> {
    let mut bytes = Vec::new();
    let mut present = Present { number: 1, begun: 0 };
    loop {
        let before = bytes.len();
        if from.by_ref().take(PIECE).read_to_end(&mut bytes)? == 0 {
            return Ok(Ok(bytes));
        }
        let is_packed = PACKED.iter().any(|first| bytes.starts_with(first));
        if !is_packed && let Err(line) = present.go_on(&bytes, before) {
            return Ok(Err(line));
        }
    }
}

/// The line in which reading has arrived.
struct Present {
    number: u32,
    /// Its first byte.
    begun: usize,
}

impl Present {
    /// Looks at what has come from a byte on.
    fn go_on(&mut self, bytes: &[u8], from: usize) -> Result<(), LongLine> {
        let ends = |byte: &u8| matches!(byte, b'\n' | b'\r');
        let mut at = from;
        while let Some(end) = bytes[at..].iter().position(ends).map(|more| at + more) {
            self.check(bytes, end)?;
            // A line feed behind a carriage return ends the line that has ended.
            let is_second = bytes[end] == b'\n' && end > 0 && bytes[end - 1] == b'\r';
            self.number = self.number.saturating_add(u32::from(!is_second));
            self.begun = end + 1;
            at = end + 1;
        }
        self.check(bytes, bytes.len())
    }

    fn check(&self, bytes: &[u8], end: usize) -> Result<(), LongLine> {
        if end - self.begun <= LONGEST {
            return Ok(());
        }
        let first = &bytes[self.begun..self.begun + SHOWN];
        let begins = String::from_utf8_lossy(first).into_owned();
        let number = self.number;
        let why = format!("line {number} is longer than {} KiB, as no row is", LONGEST >> 10);
        let help = "it was not written or copied as a table: export it again, a row a line";
        Err(LongLine { number, begins, why, help })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Counts what is taken from it.
    struct Counted<R>(R, usize);

    impl<R: Read> Read for Counted<R> {
        fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
            let count = self.0.read(buffer)?;
            self.1 += count;
            Ok(count)
        }
    }

    fn read(bytes: &[u8]) -> (Result<Vec<u8>, LongLine>, usize) {
        let mut from = Counted(bytes, 0);
        let read = table_from(&mut from).expect("memory is read");
        (read, from.1)
    }

    #[test]
    fn a_line_without_end_is_told_and_nothing_read_behind_it() {
        for (head, number) in [("", 1), ("id,name\r\nDate\r\n", 3), ("a\rb\r", 3), ("\n\n\n", 4)] {
            let text = head.to_owned() + &"9".repeat(4 << 20) + "\nmore\n";
            let (found, taken) = read(text.as_bytes());
            let line = found.expect_err(head);
            assert_eq!((line.number, line.begins.as_str()), (number, "9".repeat(60).as_str()));
            assert!(taken <= LONGEST + 2 * (64 << 10), "{taken} bytes for {head:?}");
        }
    }

    #[test]
    fn long_tables_of_short_lines_and_whatever_is_packed_are_read_whole() {
        let rows = "2025-01-01T00:00,1\r\n".repeat(40_000);
        let widest = "9".repeat(LONGEST) + "\n" + &"9".repeat(LONGEST);
        for text in [rows.as_str(), &widest, "", "\r\n"] {
            assert_eq!(read(text.as_bytes()).0.as_deref(), Ok(text.as_bytes()));
        }
        for first in PACKED {
            let packed = [first, &vec![b'x'; 1 << 20]].concat();
            assert_eq!(read(&packed).0.as_deref(), Ok(&packed[..]));
        }
    }
}
