//! Bytes to text: byte-order marks, line ends and the encodings that spreadsheets leave behind.

/// How the bytes of a file were taken for text.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Encoding {
    /// UTF-8, with or without its mark.
    Utf8,
    /// UTF-16 with its mark.
    Utf16,
    /// Neither: one byte, one character (Latin-1).
    Latin1,
}

/// A file's text without a byte-order mark and with `\n` line ends, and how it was read;
/// `None` if it holds bytes that no text has.
pub fn decode(bytes: &[u8]) -> Option<(String, Encoding)> {
    let (text, encoding) = match bytes {
        [0xEF, 0xBB, 0xBF, rest @ ..] => (String::from_utf8(rest.to_vec()).ok()?, Encoding::Utf8),
        [0xFF, 0xFE, rest @ ..] => (utf16(rest, u16::from_le_bytes)?, Encoding::Utf16),
        [0xFE, 0xFF, rest @ ..] => (utf16(rest, u16::from_be_bytes)?, Encoding::Utf16),
        _ => match std::str::from_utf8(bytes) {
            Ok(text) => (text.to_owned(), Encoding::Utf8),
            Err(_) => (bytes.iter().map(|b| windows_1252(*b)).collect(), Encoding::Latin1),
        },
    };
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    let binary = text.chars().any(|c| c.is_control() && !matches!(c, '\n' | '\t' | '\u{85}'));
    if binary { None } else { Some((text, encoding)) }
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Option<String> {
    if !bytes.len().is_multiple_of(2) {
        return None;
    }
    let units: Vec<u16> = bytes.chunks_exact(2).map(|pair| unit([pair[0], pair[1]])).collect();
    String::from_utf16(&units).ok()
}

/// Latin-1 as the world writes it: the twenty-seven marks that Windows puts where Latin-1 has controls.
/// Source: the WHATWG Encoding Standard, index windows-1252.
fn windows_1252(byte: u8) -> char {
    const HIGH: [char; 32] = [
        '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8D}', 'Ž', '\u{8F}',
        '\u{90}', '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9D}', 'ž', 'Ÿ',
    ];
    match byte {
        0x80..=0x9F => HIGH[usize::from(byte - 0x80)],
        _ => char::from(byte),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_and_line_ends_are_taken_off() {
        assert_eq!(decode(b"\xEF\xBB\xBFa\r\nb"), Some(("a\nb".into(), Encoding::Utf8)));
        assert_eq!(decode(b"\xFF\xFEa\0\n\0"), Some(("a\n".into(), Encoding::Utf16)));
        assert_eq!(decode(b"\xFE\xFF\0a"), Some(("a".into(), Encoding::Utf16)));
        assert_eq!(decode(b"Zo\xEB \x96 caf\xE9"), Some(("Zoë – café".into(), Encoding::Latin1)));
    }

    #[test]
    fn what_is_no_text_is_refused() {
        assert_eq!(decode(b"\x00\x01\x02"), None);
        assert_eq!(decode(b"\xFF\xFEa"), None);
    }
}
