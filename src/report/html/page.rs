//! The page.

use sha2::{Digest as _, Sha256};

use super::markup::{Markup, css_string};
use super::svg;
use crate::report::document::{Block, Cell, Row, Table};
use crate::report::photo::Photo;
use crate::report::{Document, Tone};
use base64ct::{Base64, Encoding as _};

const STYLE: &str = include_str!("style.css");

/// Writes a document as one HTML file.
///
/// Its policy allows the one style sheet in it, by its hash, and photos that are inside the file; no script runs and nothing
/// is fetched.
#[must_use]
pub fn html(document: &Document) -> String {
    let style = format!("{STYLE}{}", paper(document));
    let mut page = Markup::default();
    page.own("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    let policy = format!(
        "default-src 'none'; style-src 'sha256-{}'; img-src data:; base-uri 'none'; form-action 'none'",
        Base64::encode_string(&Sha256::digest(style.as_bytes()))
    );
    page.open("meta", &[("http-equiv", "Content-Security-Policy"), ("content", &policy)]);
    page.own("\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n");
    page.element("title", &[], &format!("{} ({})", document.title, document.id));
    page.own("\n<style>");
    page.own(&style);
    page.own("</style>\n</head>\n<body>\n");
    if !document.marks.is_empty() {
        page.element(
            "div",
            &[("class", "across"), ("aria-hidden", "true")],
            &first_words(document),
        );
    }
    page.open("main", &[]);
    heading(&mut page, document);
    for block in &document.blocks {
        write_block(&mut page, block);
    }
    page.element("p", &[("class", "end")], &format!("End of {}", document.id));
    page.close("main");
    page.own("\n</body>\n</html>\n");
    page.finish()
}

/// The first word of each mark, for across the page.
fn first_words(document: &Document) -> String {
    let first = |mark: &String| mark.split([':', ' ']).next().unwrap_or_default().to_owned();
    document.marks.iter().map(first).collect::<Vec<_>>().join(" · ")
}

/// What stands in the margins of each sheet of paper.
fn paper(document: &Document) -> String {
    let marks = css_string(&document.marks.join(" | "));
    let foot = css_string(&format!("{} | {}", document.id, document.program));
    format!(
        "@page{{@top-center{{content:{marks};font:bold 8pt sans-serif}}@bottom-left{{content:{foot};font:8pt sans-serif}}\
         @bottom-right{{content:\"page \" counter(page) \" of \" counter(pages);font:8pt sans-serif}}}}\n"
    )
}

fn heading(page: &mut Markup, document: &Document) {
    for mark in &document.marks {
        page.element("p", &[("class", "mark"), ("role", "alert")], mark);
    }
    page.element("h1", &[], &document.title);
    page.element(
        "p",
        &[("class", "id")],
        &format!("{}, made by {}", document.id, document.program),
    );
}

fn write_block(page: &mut Markup, block: &Block) {
    match block {
        Block::Heading(text) => page.element("h2", &[], text),
        Block::Subheading(text) => page.element("h3", &[], text),
        Block::Text(tone, text) => page.element("p", &[("class", class(*tone))], text),
        Block::Fields(fields) => {
            page.open("dl", &[]);
            for (name, text) in fields {
                page.element("dt", &[], name);
                page.element("dd", &[], text);
            }
            page.close("dl");
        }
        Block::List(points) => {
            page.open("ul", &[]);
            points.iter().for_each(|point| page.element("li", &[], point));
            page.close("ul");
        }
        Block::Table(table) => write_table(page, table),
        Block::Figure { drawing, caption } => {
            page.open("figure", &[]);
            svg::draw(page, drawing);
            page.element("figcaption", &[], caption);
            page.close("figure");
        }
        Block::Photo { photo, caption } => write_photo(page, photo, caption),
        Block::Notice { word, lines } => {
            page.open("div", &[("class", "notice")]);
            page.element("p", &[("class", "word")], word);
            lines.iter().for_each(|line| page.element("p", &[], line));
            page.close("div");
        }
    }
}

fn write_photo(page: &mut Markup, photo: &Photo, caption: &str) {
    let source =
        format!("data:{};base64,{}", photo.kind.media_type(), Base64::encode_string(&photo.bytes));
    page.open("figure", &[]);
    page.open("img", &[("src", &source), ("alt", caption)]);
    page.element("figcaption", &[], caption);
    page.close("figure");
}

fn write_table(page: &mut Markup, table: &Table) {
    let columns = table.columns.len().to_string();
    page.open("table", &[("class", if columns == "5" { "wide" } else { "plain" })]);
    page.open("thead", &[]);
    page.open("tr", &[]);
    for column in &table.columns {
        page.element("th", &[("scope", "col"), ("class", share(column.share))], column.head);
    }
    page.close("tr");
    page.close("thead");
    page.open("tbody", &[]);
    let heads: Vec<_> = table.columns.iter().map(|column| column.head).collect();
    for row in &table.rows {
        page.open("tr", &[]);
        match row {
            Row::Cells(cells) => {
                for (cell, head) in cells.iter().zip(&heads) {
                    write_cell(page, cell, &[("data-head", head)]);
                }
            }
            Row::Wide(first, rest) => {
                write_cell(page, first, &[("data-head", heads.first().unwrap_or(&""))]);
                let span = (table.columns.len().saturating_sub(1)).to_string();
                write_cell(page, rest, &[("colspan", &span)]);
            }
        }
        page.close("tr");
    }
    page.close("tbody");
    page.close("table");
}

fn write_cell(page: &mut Markup, cell: &Cell, attributes: &[(&'static str, &str)]) {
    if cell.lines.is_empty() && cell.drawing.is_none() {
        page.open("td", &[("class", "empty")]);
        page.close("td");
        return;
    }
    page.open("td", attributes);
    for (tone, line) in &cell.lines {
        page.element("p", &[("class", class(*tone))], line);
    }
    if let Some(drawing) = &cell.drawing {
        svg::draw(page, drawing);
    }
    page.close("td");
}

/// The class of a column's width, in steps the style sheet knows.
fn share(share: f64) -> &'static str {
    match share {
        s if s < 0.12 => "w10",
        s if s < 0.2 => "w16",
        s if s < 0.3 => "w24",
        s if s < 0.4 => "w33",
        s if s < 0.45 => "w41",
        _ => "w50",
    }
}

fn class(tone: Tone) -> &'static str {
    match tone {
        Tone::Plain => "plain",
        Tone::Good => "good",
        Tone::Bad => "bad",
        Tone::Caution => "caution",
        Tone::Strong => "strong",
        Tone::Faint => "faint",
    }
}
