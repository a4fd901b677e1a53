//! Pages of explanation, for people and as JSON.
//!
//! A page has four sections, each a heading and a list: formula, assumptions, range of validity, source.

use serde_json::{Map, Value};

use crate::report::{Sheet, Tone};

/// Writes a page.
pub(super) fn write(page: &str, sheet: &mut Sheet) {
    for (place, (heading, items)) in sections(page).enumerate() {
        if place > 0 {
            sheet.gap();
        }
        sheet.line(Tone::Strong, heading);
        for item in items {
            sheet.indented(Tone::Plain, "- ", &item);
        }
    }
}

/// Gives a page as an object of lists, by heading.
pub(super) fn json(page: &str) -> Value {
    let named = |(heading, items): (&str, Vec<String>)| {
        (heading.to_lowercase().replace(' ', "_"), Value::from(items))
    };
    Value::Object(sections(page).map(named).collect::<Map<_, _>>())
}

/// The sections of a page: heading and items, each item on one line.
fn sections(page: &str) -> impl Iterator<Item = (&str, Vec<String>)> {
    page.split("## ").skip(1).map(|section| {
        let (heading, rest) = section.split_once('\n').unwrap_or((section, ""));
        let items = rest.split("\n- ").skip(1);
        let on_one_line = |item: &str| item.split_whitespace().collect::<Vec<_>>().join(" ");
        (heading.trim(), items.map(on_one_line).collect())
    })
}
