//! Patterns as OpenSSH has them (PATTERNS in ssh_config(5)).

/// Tells whether a text matches a list of patterns with commas between them: at least one that is not negated, and none
/// that is.
pub(super) fn matches_list(text: &str, list: &str) -> bool {
    let negated = |pattern: &&str| pattern.starts_with('!');
    let (no, yes): (Vec<_>, Vec<_>) = list.split(',').partition(negated);
    let is_excluded =
        no.iter().any(|pattern| matches(text, pattern.strip_prefix('!').unwrap_or(pattern)));
    !is_excluded && yes.iter().any(|pattern| matches(text, pattern))
}

/// Tells whether a text matches a pattern: `*` stands for any letters or none, `?` for exactly one.
fn matches(text: &str, pattern: &str) -> bool {
    let (text, pattern): (Vec<_>, Vec<_>) = (text.chars().collect(), pattern.chars().collect());
    // Which beginnings of the text the pattern so far matches: no way back is ever needed.
    let mut reached = vec![false; text.len() + 1];
    if let Some(first) = reached.first_mut() {
        *first = true;
    }
    for wanted in pattern {
        let mut before = false;
        for (place, reach) in reached.iter_mut().enumerate() {
            let here = *reach;
            let last = place.checked_sub(1).and_then(|n| text.get(n));
            *reach = match wanted {
                '*' => {
                    before |= here;
                    before
                }
                '?' => before && last.is_some(),
                letter => before && last == Some(&letter),
            };
            if wanted != '*' {
                before = here;
            }
        }
    }
    reached.last().copied().unwrap_or(false)
}

#[cfg(test)]
mod tests {
    use super::matches_list;

    #[test]
    fn stars_question_marks_and_negations_are_those_of_openssh() {
        for (text, list) in [
            ("kim@a.example", "kim@a.example"),
            ("kim@a.example", "lo@a.example,kim@a.example"),
            ("kim@a.example", "*@a.example"),
            ("kim@a.example", "*"),
            ("kim@a.example", "k?m@*"),
            ("kim@a.example", "**m@*.*e"),
            ("kim@a.example", "*@a.example,!lo@a.example"),
        ] {
            assert!(matches_list(text, list), "{text} and {list}");
        }
        for (text, list) in [
            ("kim@a.example", "Kim@a.example"),
            ("kim@a.example", "kim@a.exampl"),
            ("kim@a.example", "kim@a.example?"),
            ("kim@a.example", "k?im@a.example"),
            ("kim@a.example", "*@b.example"),
            ("kim@a.example", "*@a.example,!kim@*"),
            ("kim@a.example", "!lo@a.example"),
            ("kim@a.example", ""),
            ("", "?*"),
        ] {
            assert!(!matches_list(text, list), "{text} and {list}");
        }
    }
}
