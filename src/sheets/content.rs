//! Content of a file: text, workbook or Parquet, told by its bytes.
//!
//! In: the bytes of a file. Out: [`Content`], out of gzip and decoded.
//! This module never trusts the ending of a name, and never unpacks more than it was told to.

use std::borrow::Cow;
use std::io::Read;

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};
use flate2::read::MultiGzDecoder;

use crate::error::{Error, ErrorKind, Place};

/// Most bytes that a file may come to when it is unpacked.
pub(super) const MOST_UNPACKED: u64 = 512_000_000;

/// What a file holds.
pub(super) enum Content<'b> {
    /// Separated text.
    Text(Text<'b>),
    /// Sheets of a spreadsheet program, zipped or in the older form.
    Workbook(Cow<'b, [u8]>),
    /// A frame in Parquet.
    Parquet(Cow<'b, [u8]>),
}

/// Text and how it was written.
pub(super) struct Text<'b> {
    /// The text, with `\n` at the end of each line.
    pub text: Cow<'b, str>,
    /// Name of the encoding, where it is not UTF-8.
    pub encoding: Option<&'static str>,
}

/// How the kinds of file begin: gzip (RFC 1952), ZIP (its application note, 4.3.7), compound files, Parquet (its format, "File format").
const GZIP: &[u8] = &[0x1f, 0x8b];
const ZIP: &[u8] = b"PK\x03\x04";
const COMPOUND: &[u8] = &[0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1];
const PARQUET: &[u8] = b"PAR1";

/// What a file of that name holds.
///
/// # Errors
/// [`ErrorKind::Unreadable`] where it cannot be unpacked, would come to too much, or is no text.
pub(super) fn content<'b>(file: &str, bytes: &'b [u8]) -> Result<Content<'b>, Error> {
    let bytes = match bytes.starts_with(GZIP) {
        true => Cow::Owned(unpacked(file, bytes)?),
        false => Cow::Borrowed(bytes),
    };
    if bytes.starts_with(ZIP) || bytes.starts_with(COMPOUND) {
        return Ok(Content::Workbook(bytes));
    }
    if bytes.starts_with(PARQUET) {
        return Ok(Content::Parquet(bytes));
    }
    text(file, bytes).map(Content::Text)
}

fn unpacked(file: &str, bytes: &[u8]) -> Result<Vec<u8>, Error> {
    let mut out = Vec::new();
    let unpacking = MultiGzDecoder::new(bytes).take(MOST_UNPACKED + 1);
    let read = { unpacking }.read_to_end(&mut out);
    read.map_err(|error| {
        let what = format!("`{file}` cannot be unpacked: {error}");
        let hint = "pack it again with gzip, or name the unpacked file";
        unreadable(file, what, hint)
    })?;
    match out.len() as u64 > MOST_UNPACKED {
        true => Err(too_much(file)),
        false => Ok(out),
    }
}

/// What is said of a file that unpacks to more than any log.
pub(super) fn too_much(file: &str) -> Error {
    let megabytes = MOST_UNPACKED / 1_000_000;
    let what = format!("`{file}` unpacks to more than {megabytes} MB");
    let hint = "check that it is the file you mean: a log is far shorter";
    unreadable(file, what, hint)
}

pub(super) fn unreadable(file: &str, what: String, hint: &str) -> Error {
    let fault = Error::new(ErrorKind::Unreadable, what);
    fault.in_file(file).hint(hint)
}

/// Text in UTF-8, UTF-16 or Windows-1252; what could be two of them is refused.
fn text<'b>(file: &str, bytes: Cow<'b, [u8]>) -> Result<Text<'b>, Error> {
    let (encoding, mark) = Encoding::for_bom(&bytes).unwrap_or_else(|| (likeliest(&bytes), 0));
    // A file that says itself what it is may hold what steers a terminal: what is printed is made visible.
    let is_guess = mark == 0 && encoding != UTF_8;
    let sound = |text: Cow<'b, str>| -> Result<Text<'b>, Error> {
        let at = match is_guess {
            true => text.find(|sign| sign == '\0' || is_no_text(sign)),
            false => memchr::memchr(0, text.as_bytes()),
        };
        if let Some(at) = at {
            return Err(no_text(file, text[..at].as_bytes()));
        }
        let encoding = (encoding != UTF_8).then(|| encoding.name());
        let text = match memchr::memchr(b'\r', text.as_bytes()) {
            Some(_) => Cow::Owned(text.replace("\r\n", "\n").replace('\r', "\n")),
            None => text,
        };
        Ok(Text { text, encoding })
    };
    if encoding == UTF_8 {
        let valid = match &bytes {
            Cow::Borrowed(bytes) => std::str::from_utf8(&bytes[mark..]).map(Cow::Borrowed),
            Cow::Owned(bytes) => {
                std::str::from_utf8(&bytes[mark..]).map(|text| Cow::Owned(text.to_string()))
            }
        };
        return valid
            .map_err(|error| no_text(file, &bytes[..mark + error.valid_up_to()]))
            .and_then(sound);
    }
    let (text, is_broken) = encoding.decode_without_bom_handling(&bytes[mark..]);
    if is_broken {
        return Err(no_text(file, &[]));
    }
    sound(Cow::Owned(text.into_owned()))
}

/// The encoding of a text without a mark at its front.
fn likeliest(bytes: &[u8]) -> &'static Encoding {
    match std::str::from_utf8(bytes) {
        // Zero bytes in every other place are UTF-16; so is no other text.
        Ok(_) | Err(_) if bytes.contains(&0) => {
            let zeros = |from: usize| bytes.iter().skip(from).step_by(2).filter(|b| **b == 0);
            let [even, odd] = [zeros(0).count(), zeros(1).count()];
            match (even, odd) {
                (0, odd) if 2 * odd > bytes.len() / 4 => UTF_16LE,
                (even, 0) if 2 * even > bytes.len() / 4 => UTF_16BE,
                _ => UTF_8,
            }
        }
        Ok(_) => UTF_8,
        // A text with letters of UTF-8 before the fault is a broken one, and not of one byte a letter.
        Err(error) if !bytes[..error.valid_up_to()].is_ascii() => UTF_8,
        Err(_) => WINDOWS_1252,
    }
}

/// Characters that no log holds: those that steer a terminal, and what a byte without a letter becomes.
fn is_no_text(sign: char) -> bool {
    sign.is_control() && !matches!(sign, '\t' | '\n' | '\r' | '\u{c}' | '\u{85}')
}

fn no_text(file: &str, before: &[u8]) -> Error {
    let line = 1 + memchr::memchr_iter(b'\n', before).count();
    let place = Place::new(file, line);
    let message = format!("{place} is not text in UTF-8, UTF-16 or Windows-1252");
    let hint = "save the log as CSV in UTF-8";
    place.fault(ErrorKind::Unreadable, message, hint)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text_of(bytes: &[u8]) -> Result<(String, Option<&'static str>), Error> {
        match content("log.csv", bytes)? {
            Content::Text(text) => Ok((text.text.into_owned(), text.encoding)),
            _ => panic!("no text"),
        }
    }

    #[test]
    fn one_text_is_read_from_each_encoding() {
        let wanted = "run;µ / °C\nA;1\n";
        let marked = [b"\xEF\xBB\xBF".as_slice(), wanted.as_bytes()].concat();
        let utf16 = |mark: bool, order: fn(u16) -> [u8; 2]| -> Vec<u8> {
            let mark = mark.then_some(0xFEFF);
            let units = mark.into_iter().chain(wanted.encode_utf16());
            units.flat_map(order).collect()
        };
        let (windows, ..) = WINDOWS_1252.encode(wanted);
        for (bytes, encoding) in [
            (wanted.as_bytes().to_vec(), None),
            (marked, None),
            (utf16(true, u16::to_le_bytes), Some("UTF-16LE")),
            (utf16(true, u16::to_be_bytes), Some("UTF-16BE")),
            (utf16(false, u16::to_le_bytes), Some("UTF-16LE")),
            (utf16(false, u16::to_be_bytes), Some("UTF-16BE")),
            (windows.into_owned(), Some("windows-1252")),
        ] {
            assert_eq!(text_of(&bytes), Ok((wanted.to_string(), encoding)));
        }
    }

    #[test]
    fn line_ends_of_all_systems_become_one() {
        assert_eq!(text_of(b"a\r\nb\rc\n").unwrap().0, "a\nb\nc\n");
    }

    #[test]
    fn what_is_no_text_is_refused_with_its_line() {
        let faulty: [(&[u8], usize); 4] = [
            (b"run,mass\nA,\xE9\x07\n", 2),
            (b"run,mass\nA,\0\0\0\n", 2),
            // A letter of UTF-8, then half of one.
            (b"run,\xC2\xB5\nA,\xC2\n", 2),
            // A byte that Windows-1252 gives no letter.
            (b"run,mass\nA,\x81\n", 2),
        ];
        for (bytes, line) in faulty {
            assert_eq!(text_of(bytes).unwrap_err().line(), Some(line), "{bytes:?}");
        }
    }

    #[test]
    fn gzip_is_unpacked_and_a_broken_one_is_told() {
        use std::io::Write;
        let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
        packer.write_all(b"run,mass\nA,1\n").unwrap();
        let packed = packer.finish().unwrap();
        assert_eq!(text_of(&packed).unwrap().0, "run,mass\nA,1\n");
        let fault = text_of(&packed[..packed.len() - 9]).unwrap_err();
        assert!(fault.message().contains("cannot be unpacked"), "{fault}");
    }
}
