//! Finding the word that was meant.

/// Gives the known word that `word` is most likely a slip of, if one is near enough.
///
/// Near enough is one slip in a short word and one more for every four letters: more would offer
/// words that only look alike.
pub fn nearest<'k>(word: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    let most = 1 + word.chars().count() / 4;
    known
        .into_iter()
        .map(|candidate| (slips(word, candidate), candidate))
        .filter(|(slips, candidate)| *slips <= most && *slips < candidate.chars().count())
        .min_by_key(|(slips, _)| *slips)
        .map(|(_, candidate)| candidate)
}

/// Counts the letters added, left out or changed between two words, capitals and small letters being alike.
fn slips(from: &str, to: &str) -> usize {
    strsim::levenshtein(&from.to_lowercase(), &to.to_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_slips() {
        for (from, to, expected) in [
            ("", "", 0),
            ("", "abc", 3),
            ("abc", "", 3),
            ("rail", "RAIL", 0),
            ("rail", "rial", 2),
            ("kitten", "sitting", 3),
        ] {
            assert_eq!(slips(from, to), expected, "{from} {to}");
        }
    }

    #[test]
    fn offers_only_what_is_near() {
        let known = ["rail", "idle_plus", "idle_minus", "x"];
        assert_eq!(nearest("rial", known), Some("rail"));
        assert_eq!(nearest("idle_plas", known), Some("idle_plus"));
        assert_eq!(nearest("idle-minus", known), Some("idle_minus"));
        assert_eq!(nearest("secondary", known), None);
        assert_eq!(nearest("y", known), None, "one letter has nothing in common with another");
        assert_eq!(nearest("", known), None);
    }
}
