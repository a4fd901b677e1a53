//! Blocks laid out on pages.

use super::font::{Fonts, Weight};
use super::pages::{BOTTOM, HEIGHT, LEFT, Pages, RIGHT, TOP};
use super::photo::Picture;
use super::text::{broken, fit};
use crate::report::document::{Block, Cell, Row, Table};
use crate::report::{Document, Drawing, Ink, Tone};

const BODY: f64 = 9.5;
const SMALL: f64 = 7.5;
const CELL: f64 = 8.5;
/// From one base line to the next, in sizes.
const LEADING: f64 = 1.28;
const FAINT: [u8; 3] = [85, 85, 85];
const PAD: f64 = 3.0;

/// A document laid out.
pub(super) struct Laid {
    pub(super) pages: Pages,
    pub(super) pictures: Vec<Picture>,
}

/// A line of text, ready to be put down.
struct PrintedLine {
    text: String,
    size: f64,
    weight: Weight,
    rgb: [u8; 3],
}

pub(super) fn lay_out(fonts: &Fonts, document: &Document) -> Laid {
    let mut layout = Layout { fonts, pages: Pages::new(), pictures: Vec::new() };
    layout.paragraph(&document.title, 16.0, Weight::Bold, Ink::Dark.rgb(), LEFT);
    layout.pages.y += 2.0;
    for block in &document.blocks {
        layout.block(block);
    }
    layout.pages.need(30.0);
    layout.pages.y += 12.0;
    let (y, end) = (layout.pages.y, format!("End of {}", document.id));
    layout.pages.rule(LEFT, RIGHT, y, Ink::Dark, 1.2);
    layout.paragraph(&end, BODY, Weight::Bold, Ink::Dark.rgb(), LEFT);
    every_page(fonts, &mut layout.pages, document);
    Laid { pages: layout.pages, pictures: layout.pictures }
}

/// The marks at the top of every page, and at its foot the report's name and the number of the page.
fn every_page(fonts: &Fonts, pages: &mut Pages, document: &Document) {
    let marks = fit(&fonts.bold, &document.marks.join("   |   "));
    let id = fit(&fonts.regular, &format!("{}   {}", document.id, document.program));
    let count = pages.pages.len();
    let dark = Ink::Dark.rgb();
    for (n, page) in pages.pages.iter_mut().enumerate() {
        let mut head = Pages { pages: vec![std::mem::take(page)], y: TOP };
        for (n, line) in broken(&fonts.bold, &marks, 8.5, RIGHT - LEFT).iter().take(2).enumerate() {
            let y = if n == 0 { 34.0 } else { 45.0 };
            head.text((LEFT, y), 8.5, Weight::Bold, dark, line);
        }
        if !marks.is_empty() {
            head.rule(LEFT, RIGHT, 50.0, Ink::Dark, 1.6);
        }
        let number = format!("page {} of {count}", n + 1);
        let wide = fonts.regular.measure(&number, SMALL);
        let foot = HEIGHT - 32.0;
        head.rule(LEFT, RIGHT, foot - 11.0, Ink::Grey, 0.5);
        let room = RIGHT - LEFT - wide - 10.0;
        let id = broken(&fonts.regular, &id, SMALL, room).into_iter().next().unwrap_or_default();
        head.text((LEFT, foot), SMALL, Weight::Regular, FAINT, &id);
        head.text((RIGHT - wide, foot), SMALL, Weight::Regular, FAINT, &number);
        *page = head.pages.pop().unwrap_or_default();
    }
}

struct Layout<'a> {
    fonts: &'a Fonts,
    pages: Pages,
    pictures: Vec<Picture>,
}

impl Layout<'_> {
    fn lines(
        &self,
        text: &str,
        size: f64,
        weight: Weight,
        rgb: [u8; 3],
        width: f64,
    ) -> Vec<PrintedLine> {
        let font = self.fonts.of(weight);
        let lines = broken(font, &fit(font, text), size, width);
        lines.into_iter().map(|text| PrintedLine { text, size, weight, rgb }).collect()
    }

    fn paragraph(&mut self, text: &str, size: f64, weight: Weight, rgb: [u8; 3], left: f64) {
        for line in self.lines(text, size, weight, rgb, RIGHT - left) {
            self.pages.need(line.size * LEADING);
            self.put_line(&line, left);
        }
    }

    fn put_line(&mut self, line: &PrintedLine, left: f64) {
        let base = self.pages.y + line.size;
        self.pages.text((left, base), line.size, line.weight, line.rgb, &line.text);
        self.pages.y += line.size * LEADING;
    }

    fn block(&mut self, block: &Block) {
        let dark = Ink::Dark.rgb();
        match block {
            Block::Heading(text) => {
                // A head never stands alone at the foot of a page.
                self.pages.need(120.0);
                self.pages.y += 13.0;
                self.paragraph(text, 12.0, Weight::Bold, dark, LEFT);
                let y = self.pages.y;
                self.pages.rule(LEFT, RIGHT, y, Ink::Dark, 1.2);
                self.pages.y += 5.0;
            }
            Block::Subheading(text) => {
                self.pages.need(74.0);
                self.pages.y += 9.0;
                self.paragraph(text, 10.0, Weight::Bold, dark, LEFT);
            }
            Block::Text(tone, text) => {
                let (size, weight, rgb) = look(*tone, BODY);
                self.paragraph(text, size, weight, rgb, LEFT);
                self.pages.y += 2.0;
            }
            Block::Fields(fields) => self.fields(fields),
            Block::List(points) => {
                for point in points {
                    self.paragraph(&format!("– {point}"), BODY, Weight::Regular, dark, LEFT + 8.0);
                }
            }
            Block::Table(table) => self.table(table),
            Block::Figure { drawing, caption } => self.figure(drawing, caption),
            Block::Photo { photo, caption } => match Picture::of(photo) {
                Some(picture) => self.photo(picture, caption),
                None => {
                    let words =
                        format!("not shown on paper (its kind has no place in a PDF): {caption}");
                    self.paragraph(&words, BODY, Weight::Regular, dark, LEFT);
                }
            },
            Block::Notice { word, lines } => self.notice(word, lines),
        }
    }

    fn fields(&mut self, fields: &[(String, String)]) {
        const NAMES: f64 = 120.0;
        for (name, text) in fields {
            let names = self.lines(name, BODY, Weight::Regular, FAINT, NAMES - 8.0);
            let texts =
                self.lines(text, BODY, Weight::Regular, Ink::Dark.rgb(), RIGHT - LEFT - NAMES);
            let height = BODY * LEADING * names.len().max(1) as f64;
            self.pages.need(height.max(BODY * LEADING));
            let y = self.pages.y;
            names.iter().for_each(|line| self.put_line(line, LEFT));
            let below = self.pages.y;
            self.pages.y = y;
            for line in &texts {
                self.pages.need(line.size * LEADING);
                self.put_line(line, LEFT + NAMES);
            }
            self.pages.y = if self.pages.y < y { self.pages.y } else { self.pages.y.max(below) };
            self.pages.y += 1.0;
        }
        self.pages.y += 5.0;
    }

    fn notice(&mut self, word: &str, lines: &[String]) {
        let room = RIGHT - LEFT - 20.0;
        let mut all = self.lines(word, BODY, Weight::Bold, Ink::Dark.rgb(), room);
        for line in lines {
            all.extend(self.lines(line, BODY, Weight::Regular, Ink::Dark.rgb(), room));
        }
        let height = all.len() as f64 * BODY * LEADING + 12.0;
        self.pages.need(height.min(BOTTOM - TOP));
        self.pages.y += 4.0;
        let (top, page) = (self.pages.y, self.pages.pages.len());
        self.pages.y += 5.0;
        for line in &all {
            self.pages.need(line.size * LEADING);
            self.put_line(line, LEFT + 10.0);
        }
        self.pages.y += 4.0;
        let bottom = self.pages.y;
        if self.pages.pages.len() == page {
            let places =
                vec![(LEFT, top), (RIGHT, top), (RIGHT, bottom), (LEFT, bottom), (LEFT, top)];
            let rgb = Ink::Dark.rgb();
            self.pages.put(super::pages::Put::Line { places, rgb, thick: 1.4 });
        }
        self.pages.y += 5.0;
    }

    fn figure(&mut self, drawing: &Drawing, caption: &str) {
        let scale = ((RIGHT - LEFT) / drawing.width).min(1.0);
        let height = drawing.height * scale;
        self.pages.need(height + 24.0);
        self.pages.y += 4.0;
        let y = self.pages.y;
        self.pages.draw(self.fonts, drawing, (LEFT, y), scale);
        self.pages.y += height + 2.0;
        self.paragraph(caption, SMALL, Weight::Regular, FAINT, LEFT);
        self.pages.y += 4.0;
    }

    fn photo(&mut self, picture: Picture, caption: &str) {
        const TALLEST: f64 = 330.0;
        let (wide, high) = (f64::from(picture.width), f64::from(picture.height));
        let scale = ((RIGHT - LEFT) / wide).min(TALLEST / high);
        let (width, height) = (wide * scale, high * scale);
        self.pages.need(height + 30.0);
        self.pages.y += 4.0;
        let (at, number) = ((LEFT, self.pages.y), self.pictures.len());
        self.pages.put(super::pages::Put::Photo { number, at, width, height });
        self.pictures.push(picture);
        self.pages.y += height + 2.0;
        self.paragraph(caption, SMALL, Weight::Regular, FAINT, LEFT);
        self.pages.y += 4.0;
    }

    fn table(&mut self, table: &Table) {
        let edges = edges(table);
        self.head(table, &edges);
        for row in &table.rows {
            let spans: Vec<(&Cell, f64, f64)> = match row {
                Row::Cells(cells) => cells
                    .iter()
                    .zip(edges.windows(2))
                    .filter_map(|(cell, edge)| Some((cell, *edge.first()?, *edge.last()?)))
                    .collect(),
                Row::Wide(first, rest) => {
                    let inner = edges.get(1).copied().unwrap_or(LEFT);
                    vec![(first, LEFT, inner), (rest, inner, RIGHT)]
                }
            };
            self.row(table, &edges, &spans);
        }
        self.pages.y += 4.0;
    }

    fn head(&mut self, table: &Table, edges: &[f64]) {
        self.pages.need(48.0);
        let base = self.pages.y + PAD + CELL;
        for (column, left) in table.columns.iter().zip(edges) {
            let at = (left + PAD, base);
            self.pages.text(at, 8.0, Weight::Bold, Ink::Dark.rgb(), column.head);
        }
        self.pages.y = base + PAD;
        let y = self.pages.y;
        self.pages.rule(LEFT, RIGHT, y, Ink::Dark, 1.0);
    }

    /// Puts a row down. One that is taller than a page goes on over the next.
    fn row(&mut self, table: &Table, edges: &[f64], spans: &[(&Cell, f64, f64)]) {
        let mut columns: Vec<_> = spans
            .iter()
            .map(|(cell, left, right)| {
                let width = right - left - 2.0 * PAD;
                let lines = cell.lines.iter().flat_map(|(tone, text)| {
                    let (size, weight, rgb) = look(*tone, CELL);
                    self.lines(text, size, weight, rgb, width)
                });
                (
                    *left,
                    width,
                    lines.collect::<std::collections::VecDeque<_>>(),
                    cell.drawing.as_ref(),
                )
            })
            .collect();
        let drawn =
            |drawing: &Drawing, width: f64| drawing.height * (width / drawing.width).min(1.0);
        loop {
            let height = columns.iter().map(|(_, width, lines, drawing)| {
                let text: f64 = lines.iter().map(|line| line.size * LEADING).sum();
                text + drawing.map_or(0.0, |drawing| drawn(drawing, *width) + 2.0)
            });
            let height = height.fold(0.0, f64::max) + 2.0 * PAD;
            let fits = height <= self.pages.room();
            if !fits && (height <= BOTTOM - TOP - 30.0 || self.pages.room() < 60.0) {
                self.pages.turn();
                self.head(table, edges);
                continue;
            }
            let top = self.pages.y + PAD;
            let mut lowest = top;
            for (left, width, lines, drawing) in &mut columns {
                self.pages.y = top;
                while let Some(line) = lines.pop_front() {
                    if line.size * LEADING > self.pages.room() - PAD {
                        lines.push_front(line);
                        break;
                    }
                    self.put_line(&line, *left + PAD);
                }
                if let Some(fitting) = drawing.filter(|drawing| {
                    lines.is_empty() && drawn(drawing, *width) < self.pages.room()
                }) {
                    let at = (*left + PAD, self.pages.y + 2.0);
                    self.pages.draw(self.fonts, fitting, at, (*width / fitting.width).min(1.0));
                    self.pages.y += drawn(fitting, *width) + 2.0;
                    *drawing = None;
                }
                lowest = lowest.max(self.pages.y);
            }
            self.pages.y = lowest + PAD;
            let is_done =
                columns.iter().all(|(_, _, lines, drawing)| lines.is_empty() && drawing.is_none());
            if is_done {
                let y = self.pages.y;
                self.pages.rule(LEFT, RIGHT, y, Ink::Grey, 0.3);
                return;
            }
            self.pages.turn();
            self.head(table, edges);
        }
    }
}

/// Where the columns begin, and where the last one ends.
fn edges(table: &Table) -> Vec<f64> {
    let all: f64 = table.columns.iter().map(|column| column.share).sum();
    let mut edges = vec![LEFT];
    let mut at = LEFT;
    for column in &table.columns {
        at += column.share / all * (RIGHT - LEFT);
        edges.push(at);
    }
    edges
}

fn look(tone: Tone, size: f64) -> (f64, Weight, [u8; 3]) {
    match tone {
        Tone::Plain => (size, Weight::Regular, Ink::Dark.rgb()),
        Tone::Good | Tone::Strong => (size, Weight::Bold, Ink::Dark.rgb()),
        Tone::Bad => (size, Weight::Bold, Ink::Bad.rgb()),
        Tone::Caution => (size, Weight::Bold, [122, 74, 0]),
        Tone::Faint => (size - 1.5, Weight::Regular, FAINT),
    }
}
