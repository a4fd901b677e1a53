//! Choosing by a part of a name.

/// Finds the one name that has these words in it, capitals and small letters being alike.
///
/// The whole name wins over names it is a part of. Errors list the names.
pub(super) fn by_name<T>(
    words: &str,
    all: &'static [T],
    name: impl Fn(&T) -> &'static str,
) -> Result<&'static T, String> {
    let words = words.trim().to_lowercase();
    let with = |item: &&T| name(item).to_lowercase().contains(&words);
    if let Some(whole) = all.iter().find(|item| name(item).to_lowercase() == words) {
        return Ok(whole);
    }
    match all.iter().filter(with).collect::<Vec<_>>().as_slice() {
        [one] if !words.is_empty() => Ok(one),
        _ => {
            let names: Vec<_> = all.iter().map(name).collect();
            Err(format!("type a part of one of these names: {}", names.join("; ")))
        }
    }
}
