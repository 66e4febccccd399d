//! Labels and names as words, so that one spelling of a thing is as good as another.

/// The words of a text in lower case, without signs, digits and the word `to`.
pub(super) fn words(text: &str) -> Vec<String> {
    let parts = text.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty());
    parts.map(str::to_lowercase).filter(|word| word != "to").collect()
}

/// Whether one word stands right before another: `slow to fast`, `slow > fast`, `slow-fast`.
pub(super) fn runs(words: &[String], first: &str, second: &str) -> bool {
    words.windows(2).any(|pair| pair[0] == first && pair[1] == second)
}

/// Whether a text has one of these words.
pub(super) fn has(words: &[String], any: &[&str]) -> bool {
    words.iter().any(|word| any.contains(&word.as_str()))
}

/// The number that follows a word: 5 in `reset, hold 5 s`.
pub(super) fn number_after(text: &str, word: &str) -> Option<f64> {
    let lower = text.to_lowercase();
    let rest = &lower[lower.find(word)? + word.len()..];
    let rest = rest.trim_start_matches(|c: char| c.is_whitespace() || matches!(c, ':' | '('));
    let end = rest.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(rest.len());
    rest[..end].parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_found_however_they_are_joined() {
        for text in ["strobe, slow to fast", "Slow > Fast", "slow-fast", "(slow → fast)"] {
            assert!(runs(&words(text), "slow", "fast"), "{text}");
        }
        assert!(!runs(&words("fast to slow"), "slow", "fast"));
        assert!(has(&words("Pan 16-bit FINE"), &["fine"]));
    }

    #[test]
    fn a_number_behind_a_word_is_read() {
        assert_eq!(number_after("reset, hold 4.5 s", "hold"), Some(4.5));
        assert_eq!(number_after("Hold: 3s", "hold"), Some(3.0));
        assert_eq!(number_after("threshold", "hold"), None);
        assert_eq!(number_after("reset", "hold"), None);
    }
}
