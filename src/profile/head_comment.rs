//! The comments of a profile file: those above the profile are kept when it is written again.

use super::tokens::Tokens;

/// What stands above the first value of a text, if a comment is among it: comments and blanks, as they
/// are, up to the line of the value.
pub fn head_comment(text: &str) -> &str {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let first = Tokens::new(text).peek().map_or(text.len(), |token| token.at.start);
    let head = &text[..first];
    // A comment on the line of the value ends before it; one above it ends with its line.
    let head = head.rfind('\n').map_or(head, |end| &head[..=end]);
    if head.trim().is_empty() { "" } else { head }
}

/// The text with its comments above `head` instead of its own.
pub fn with_head_comment(head: &str, text: &str) -> String {
    let gap = if head.is_empty() || head.ends_with('\n') { "" } else { "\n" };
    format!("{head}{gap}{text}")
}

/// How many comments stand below the first value: writing the profile again loses them.
pub fn comments_inside(text: &str) -> usize {
    // The mark is no token, and would be taken for one.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut end = None;
    let mut count = 0;
    for token in Tokens::new(text) {
        if let Some(end) = end {
            count += comments_in(text.get(end..token.at.start).unwrap_or(""));
        }
        end = Some(token.at.end);
    }
    count + end.and_then(|end| text.get(end..)).map_or(0, comments_in)
}

/// Comments in what stands between two tokens: only blanks and comments do.
fn comments_in(mut gap: &str) -> usize {
    let mut count = 0;
    while let Some(at) = gap.find('/') {
        count += 1;
        let comment = &gap[at..];
        let length = if comment.starts_with("/*") {
            let mut depth = 0usize;
            let ends = comment.char_indices().find_map(|(i, _)| {
                let rest = &comment[i..];
                depth += usize::from(rest.starts_with("/*"));
                let closes = rest.starts_with("*/");
                depth = depth.saturating_sub(usize::from(closes));
                (closes && depth == 0).then_some(i + 2)
            });
            ends.unwrap_or(comment.len())
        } else {
            comment.find('\n').map_or(comment.len(), |end| end + 1)
        };
        gap = &comment[length..];
    }
    count
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_above_are_kept_as_they_are_and_those_inside_are_counted() {
        for (text, head, inside) in [
            ("(a: 1)", "", 0),
            ("\n\n(a: 1)", "", 0),
            ("// one\n// two\n\n(a: 1)\n", "// one\n// two\n\n", 0),
            ("\u{feff}/* x ( */\n(a: 1, // why\n b: /* /* deep */ */ 2) // end", "/* x ( */\n", 3),
            ("// a\n(b: \"// no comment\", c: 1)", "// a\n", 0),
            ("// only", "// only", 0),
            ("", "", 0),
        ] {
            assert_eq!((head_comment(text), comments_inside(text)), (head, inside), "{text:?}");
        }
        assert_eq!(with_head_comment("// a", "(b: 1)"), "// a\n(b: 1)");
        assert_eq!(with_head_comment("", "(b: 1)"), "(b: 1)");
    }
}
