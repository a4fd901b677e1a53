//! People's names: what can be one, and when two are the same person's.

/// Words that are typed in passing, or that the bench takes for something else, and that are nobody's name.
const NO_NAMES: [&str; 24] = [
    "yes", "no", "ok", "okay", "done", "read", "none", "attended", "waived", "help", "why", "all",
    "note", "attach", "handover", "cannot", "stop", "leave", "clear", "agree", "sign", "off",
    "again", "accept",
];

/// Tells whether a text can be a person's name.
///
/// # Errors
/// What to type instead.
pub fn person_name(text: &str) -> Result<(), String> {
    let letters = text.chars().filter(|c| c.is_alphabetic()).count();
    if letters < 2 || is_word(text) {
        return Err("type the person's name".to_owned());
    }
    Ok(())
}

/// Tells whether a text is a word that the bench takes for something else than a name.
pub(in crate::procedure) fn is_word(text: &str) -> bool {
    NO_NAMES.contains(&identity(text).as_str())
}

/// A person's name, a role or a class as it is compared: letter case, spacing and signs do not make another one.
#[must_use]
pub fn identity(name: &str) -> String {
    name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::person_name;

    #[test]
    fn a_short_name_is_one_and_a_word_typed_in_passing_is_none() {
        for name in ["Bo", " Li ", "Kim Bench-Test (invented)", "Åsa"] {
            assert!(person_name(name).is_ok(), "`{name}`");
        }
        for word in [
            "",
            "--",
            "x",
            "7",
            "12 34",
            "OK",
            "o.k.",
            "yes",
            " Done ",
            "Stop",
            "hand over",
            "leave",
        ] {
            assert!(person_name(word).is_err(), "`{word}`");
        }
    }
}
