//! From a file's bytes to plain ones: gzip is unpacked, and text of either encoding is decoded.

use std::borrow::Cow;
use std::io::Read;

use super::table_fault::TableFault;

/// The first bytes of a gzip file: RFC 1952, 2.3.1.
const GZIP: [u8; 2] = [0x1f, 0x8b];

/// Unpacks gzip; anything else stays as it is.
///
/// # Errors
/// It is damaged, or larger than a log may be.
pub(super) fn unpacked(bytes: &[u8], largest: u64) -> Result<Cow<'_, [u8]>, TableFault> {
    if !bytes.starts_with(&GZIP) {
        let fits = bytes.len() as u64 <= largest;
        return if fits { Ok(Cow::Borrowed(bytes)) } else { Err(TableFault::TooLarge) };
    }
    let mut plain = Vec::new();
    let packed = flate2::read::MultiGzDecoder::new(bytes);
    packed.take(largest + 1).read_to_end(&mut plain).map_err(|_| TableFault::Damaged("gzip"))?;
    if plain.len() as u64 > largest { Err(TableFault::TooLarge) } else { Ok(Cow::Owned(plain)) }
}

/// How a text is encoded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Encoding {
    Utf8,
    Latin1,
}

/// Text from bytes: UTF-8 with or without a byte-order mark, else ISO 8859-1, in which every byte
/// is the character of its number.
///
/// # Errors
/// It has NUL bytes, so that it is no text.
pub(super) fn decoded(bytes: Cow<'_, [u8]>) -> Result<(String, Encoding), TableFault> {
    if bytes.contains(&0) {
        return Err(TableFault::NoText);
    }
    let text = match String::from_utf8(bytes.into_owned()) {
        Ok(text) => text,
        Err(error) => {
            let latin = error.into_bytes().into_iter().map(char::from).collect();
            return Ok((latin, Encoding::Latin1));
        }
    };
    match text.strip_prefix('\u{feff}') {
        Some(rest) => Ok((rest.to_owned(), Encoding::Utf8)),
        None => Ok((text, Encoding::Utf8)),
    }
}

#[cfg(test)]
mod tests {
    use super::super::table_fault::LARGEST;
    use super::*;

    fn text(bytes: &[u8]) -> Result<(String, Encoding), TableFault> {
        decoded(unpacked(bytes, LARGEST)?)
    }

    #[test]
    fn encodings_are_told_by_the_content() {
        let told = |bytes: &[u8]| text(bytes).expect("it is text");
        assert_eq!(told("Büro".as_bytes()), ("Büro".into(), Encoding::Utf8));
        assert_eq!(told("\u{feff}Büro".as_bytes()), ("Büro".into(), Encoding::Utf8));
        assert_eq!(told(b"B\xfcro"), ("Büro".into(), Encoding::Latin1));
        assert_eq!(text(b"a\0b"), Err(TableFault::NoText));
    }

    #[test]
    fn gzip_is_unpacked_and_damage_is_told() {
        use std::io::Write;
        let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
        packer.write_all(b"time,hall\n").expect("memory takes it");
        let packed = packer.finish().expect("memory takes it");
        assert_eq!(text(&packed).expect("it is text").0, "time,hall\n");
        assert_eq!(text(&packed[..packed.len() - 6]), Err(TableFault::Damaged("gzip")));
    }

    /// A megabyte of zeros packs into a kilobyte.
    #[test]
    fn what_unpacks_beyond_the_limit_is_given_up() {
        use std::io::Write;
        let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
        packer.write_all(&vec![b'0'; 1 << 20]).expect("memory takes it");
        let packed = packer.finish().expect("memory takes it");
        assert!(packed.len() < 50_000, "{}", packed.len());
        assert_eq!(unpacked(&packed, 100_000), Err(TableFault::TooLarge));
        assert_eq!(unpacked(&[b'0'; 100], 99), Err(TableFault::TooLarge));
    }
}
