//! A character that can't be seen or that moves the text around it.

use super::Check;
use crate::diagnostic::{Finding, Span, clean_lines};
use crate::procedure::At;

pub(super) const CHECK: Check =
    Check::new("TXT001", "invisible-character", include_str!("invisible_character.md"))
        .of_texts(finding);

/// The first character that can't be seen of a whole file, unless one was found already.
pub(super) fn in_source(text: &str, found: &[Finding]) -> Vec<Finding> {
    if found.iter().any(|finding| finding.code == CHECK.code) {
        return Vec::new();
    }
    // A mark of the byte order may stand before everything, and a line may end with a carriage return.
    let is_hidden = |(at, c): &(usize, char)| {
        let is_usual = (*at == 0 && *c == '\u{feff}') || *c == '\r';
        !is_usual && clean_lines(c.encode_utf8(&mut [0; 4])).chars().ne([*c])
    };
    let hidden = text.char_indices().find(is_hidden);
    let finding = hidden.map(|(at, c)| {
        let shown = clean_lines(c.encode_utf8(&mut [0; 4]));
        CHECK
            .error(format!("the file holds a character that can't be seen: {shown}"))
            .at(Span::new(at, at + c.len_utf8()))
            .help("delete it: it can make the line look like another one")
    });
    finding.into_iter().collect()
}

fn finding(text: &At<String>) -> Option<Finding> {
    (clean_lines(text) != text.value).then(|| {
        let hidden = text.chars().map(|c| clean_lines(c.encode_utf8(&mut [0; 4])));
        let hidden = hidden.zip(text.chars()).find(|(shown, c)| !shown.chars().eq([*c]));
        let shown = hidden.map(|(shown, _)| shown).unwrap_or_default();
        CHECK
            .error(format!("the text holds a character that can't be seen: {shown}"))
            .at(text.span)
            .help("delete it and type the text again")
    })
}
