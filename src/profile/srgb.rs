//! Colours as a profile writes them: `#rrggbb`, 8-bit sRGB.

/// Red, green and blue of `#rrggbb` (either case, the hash required). `None` for anything else.
pub fn parse(text: &str) -> Option<[u8; 3]> {
    let digits = text.strip_prefix('#')?;
    if digits.len() != 6 || !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
        return None;
    }
    let [_, parts @ ..] = u32::from_str_radix(digits, 16).ok()?.to_be_bytes();
    Some(parts)
}

/// The same the other way: `#rrggbb` in lower case.
pub fn text([r, g, b]: [u8; 3]) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_colour_is_a_hash_and_six_digits_and_nothing_else() {
        assert_eq!(parse("#FFb000"), Some([255, 176, 0]));
        assert_eq!(text([255, 176, 0]), "#ffb000");
        for bad in ["ffb000", "#ffb00", "#ffb0000", "#ffb00g", "#+fb000", "", "#"] {
            assert_eq!(parse(bad), None, "{bad}");
        }
    }
}
