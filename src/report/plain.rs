//! A document as text for a terminal of any width.

use super::document::{Block, Cell, Row, Table};
use super::{Document, Sheet, Tone};
use crate::diagnostic::Style;

/// Writes a document as text.
#[must_use]
pub fn plain(document: &Document, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    mark(&mut sheet, document);
    sheet.line(Tone::Strong, &document.title);
    sheet.line(Tone::Faint, &format!("{}, made by {}", document.id, document.program));
    for block in &document.blocks {
        write_block(&mut sheet, block);
    }
    sheet.gap();
    mark(&mut sheet, document);
    sheet.line(Tone::Strong, &format!("End of {}", document.id));
    sheet.finish()
}

fn mark(sheet: &mut Sheet, document: &Document) {
    document.marks.iter().for_each(|mark| sheet.rule(mark));
}

fn write_block(sheet: &mut Sheet, block: &Block) {
    match block {
        Block::Heading(text) => {
            sheet.gap();
            sheet.rule(text);
        }
        Block::Subheading(text) => {
            sheet.gap();
            sheet.line(Tone::Strong, text);
        }
        Block::Text(tone, text) => sheet.line(*tone, text),
        Block::Fields(fields) => {
            for (name, text) in fields {
                sheet.indented(Tone::Plain, "  ", &format!("{name}: {text}"));
            }
        }
        Block::List(points) => {
            points.iter().for_each(|point| sheet.indented(Tone::Plain, "  - ", point))
        }
        Block::Table(table) => write_table(sheet, table),
        Block::Figure { caption, .. } | Block::Photo { caption, .. } => {
            sheet.indented(Tone::Faint, "  ", &format!("[{caption}]"));
        }
        Block::Notice { word, lines } => {
            sheet.line(Tone::Caution, word);
            lines.iter().for_each(|line| sheet.indented(Tone::Caution, "  ", line));
        }
    }
}

/// Writes rows as paragraphs: a table of five columns has no room in 40.
fn write_table(sheet: &mut Sheet, table: &Table) {
    for row in &table.rows {
        let cells: Vec<&Cell> = match row {
            Row::Cells(cells) => cells.iter().collect(),
            Row::Wide(first, rest) => vec![first, rest],
        };
        let Some((first, rest)) = cells.split_first() else { continue };
        let joined = |cell: &Cell| {
            let lines: Vec<_> = cell.lines.iter().map(|(_, line)| line.as_str()).collect();
            lines.join("; ")
        };
        sheet.indented(Tone::Plain, "  ", &joined(first));
        for (cell, column) in rest.iter().zip(table.columns.iter().skip(1)) {
            if cell.lines.is_empty() {
                continue;
            }
            let tone = cell.lines.first().map_or(Tone::Plain, |(tone, _)| *tone);
            let tone = if tone == Tone::Strong { Tone::Plain } else { tone };
            sheet.indented(tone, "      ", &format!("{}: {}", column.head, joined(cell)));
        }
    }
}
