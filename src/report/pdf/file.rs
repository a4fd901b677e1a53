//! The file (ISO 32000-1).

use chrono::{Datelike as _, Timelike as _};
use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::types::{CidFontType, FontFlags, Predictor, SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Date, Filter, Finish as _, Name, Pdf, Rect, Ref, Str, TextStr};
use sha2::{Digest as _, Sha256};

use super::font::{Font, Fonts, Weight};
use super::layout::{Laid, lay_out};
use super::pages::{HEIGHT, Put, WIDTH};
use super::photo::{Coding, Picture};
use crate::diagnostic::clean;
use crate::report::Document;

/// How hard is compressed: 6 of 10, as most programs do.
const LEVEL: u8 = 6;

const CATALOG: Ref = Ref::new(1);
const TREE: Ref = Ref::new(2);
const INFO: Ref = Ref::new(3);
const REGULAR: Ref = Ref::new(10);
const BOLD: Ref = Ref::new(20);
const FIRST: i32 = 30;

/// Why no PDF was made. Never in practice: the fonts are part of the program.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PdfError {
    /// A font cannot be read.
    #[error("cannot read a font of the program: {0}")]
    Font(String),
    /// The document has too many pages or pictures.
    #[error("the report is too long for a PDF: take HTML")]
    TooLong,
}

/// Writes a document as PDF. The same document gives the same bytes.
///
/// # Errors
/// A document too long for a PDF.
pub fn pdf(document: &Document) -> Result<Vec<u8>, PdfError> {
    let mut fonts = Fonts::new().map_err(|error| PdfError::Font(error.to_string()))?;
    let laid = lay_out(&fonts, document);
    let numbers = i32::try_from(2 * laid.pages.pages.len() + laid.pictures.len());
    numbers.ok().and_then(|count| count.checked_add(FIRST)).ok_or(PdfError::TooLong)?;
    let mut pdf = Pdf::new();
    about(&mut pdf, document);
    let mut next = Ref::new(FIRST);
    let pictures: Vec<Ref> = laid.pictures.iter().map(|_| next.bump()).collect();
    for (picture, number) in laid.pictures.iter().zip(&pictures) {
        write_picture(&mut pdf, *number, picture);
    }
    write_pages(&mut pdf, &mut fonts, &laid, &pictures, &mut next);
    write_font(&mut pdf, REGULAR, &fonts.regular, Weight::Regular)?;
    write_font(&mut pdf, BOLD, &fonts.bold, Weight::Bold)?;
    Ok(pdf.finish())
}

fn about(pdf: &mut Pdf, document: &Document) {
    let mut catalog = pdf.catalog(CATALOG);
    catalog.pages(TREE).lang(TextStr("en"));
    catalog.viewer_preferences().display_doc_title(true);
    catalog.finish();
    let (title, program) = (clean(&document.title), clean(&document.program));
    let mut info = pdf.document_info(INFO);
    info.title(TextStr(&title)).creator(TextStr(&program)).producer(TextStr(&program));
    if let Some(date) = document.moment.as_ref().and_then(date) {
        info.creation_date(date).modified_date(date);
    }
    info.finish();
    let identity = Sha256::digest(document.id.as_bytes()).to_vec();
    pdf.set_file_id((identity.clone(), identity));
}

fn date(moment: &chrono::DateTime<chrono::FixedOffset>) -> Option<Date> {
    let small = |number: u32| u8::try_from(number).ok();
    let minutes = moment.offset().local_minus_utc() / 60;
    let date = Date::new(u16::try_from(moment.year()).ok()?)
        .month(small(moment.month())?)
        .day(small(moment.day())?)
        .hour(small(moment.hour())?)
        .minute(small(moment.minute())?)
        .second(small(moment.second())?)
        .utc_offset_hour(i8::try_from(minutes / 60).ok()?)
        .utc_offset_minute(small((minutes % 60).unsigned_abs())?);
    Some(date)
}

fn write_pages(pdf: &mut Pdf, fonts: &mut Fonts, laid: &Laid, pictures: &[Ref], next: &mut Ref) {
    let mut kids = Vec::new();
    for page in &laid.pages.pages {
        let (number, stream) = (next.bump(), next.bump());
        kids.push(number);
        let content = compress_to_vec_zlib(&content(fonts, page), LEVEL);
        pdf.stream(stream, &content).filter(Filter::FlateDecode);
        let mut written = pdf.page(number);
        written.parent(TREE).contents(stream);
        let mut resources = written.resources();
        resources.fonts().pair(Name(b"R"), REGULAR).pair(Name(b"B"), BOLD);
        let mut objects = resources.x_objects();
        for put in page {
            if let Put::Photo { number, .. } = put
                && let Some(picture) = pictures.get(*number)
            {
                objects.pair(Name(format!("P{number}").as_bytes()), *picture);
            }
        }
    }
    let count = i32::try_from(kids.len()).unwrap_or(i32::MAX);
    let (width, height) = (short(WIDTH), short(HEIGHT));
    pdf.pages(TREE).kids(kids).count(count).media_box(Rect::new(0.0, 0.0, width, height));
}

/// A length as the file writes it.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a page is some hundred points, an eye sees a tenth of one"
)]
fn short(length: f64) -> f32 {
    length as f32
}

fn content(fonts: &mut Fonts, page: &[Put]) -> Vec<u8> {
    let mut content = Content::new();
    let colour = |rgb: [u8; 3]| rgb.map(|part| f32::from(part) / 255.0);
    let up = |(x, y): (f64, f64)| (short(x), short(HEIGHT - y));
    for put in page {
        match put {
            Put::Text { at, size, weight, rgb, text } => {
                let (name, [red, green, blue]) = (font_name(*weight), colour(*rgb));
                let (x, y) = up(*at);
                content.set_fill_rgb(red, green, blue).begin_text();
                content.set_font(name, short(*size)).next_line(x, y);
                content.show(Str(&fonts.of_mut(*weight).encode(text))).end_text();
            }
            Put::Line { places, rgb, thick } => {
                let [red, green, blue] = colour(*rgb);
                content.set_stroke_rgb(red, green, blue).set_line_width(short(*thick));
                path(&mut content, places.iter().copied().map(up));
                content.stroke();
            }
            Put::Area { corners, rgb } => {
                let [red, green, blue] = colour(*rgb);
                content.set_fill_rgb(red, green, blue);
                path(&mut content, corners.iter().copied().map(up));
                content.fill_nonzero();
            }
            Put::Photo { number, at, width, height } => {
                let (x, y) = up((at.0, at.1 + height));
                content.save_state().transform([short(*width), 0.0, 0.0, short(*height), x, y]);
                content.x_object(Name(format!("P{number}").as_bytes())).restore_state();
            }
        }
    }
    content.finish().into_vec()
}

fn path(content: &mut Content, mut places: impl Iterator<Item = (f32, f32)>) {
    if let Some((x, y)) = places.next() {
        content.move_to(x, y);
    }
    for (x, y) in places {
        content.line_to(x, y);
    }
}

fn font_name(weight: Weight) -> Name<'static> {
    match weight {
        Weight::Regular => Name(b"R"),
        Weight::Bold => Name(b"B"),
    }
}

fn write_picture(pdf: &mut Pdf, number: Ref, picture: &Picture) {
    let size = |pixels: u32| i32::try_from(pixels).unwrap_or(i32::MAX);
    let mut image = pdf.image_xobject(number, &picture.bytes);
    image.width(size(picture.width)).height(size(picture.height)).bits_per_component(8);
    match picture.channels {
        1 => image.color_space().device_gray(),
        4 => image.color_space().device_cmyk(),
        _ => image.color_space().device_rgb(),
    }
    match picture.coding {
        Coding::Jpeg => {
            image.filter(Filter::DctDecode);
            if picture.channels == 4 {
                image.decode([1.0, 0.0, 1.0, 0.0, 1.0, 0.0, 1.0, 0.0]);
            }
        }
        Coding::Png => {
            image.filter(Filter::FlateDecode);
            let (colours, columns) = (i32::from(picture.channels), size(picture.width));
            let mut how = image.decode_parms();
            how.predictor(Predictor::PngOptimum).colors(colours).bits_per_component(8);
            how.columns(columns);
        }
    }
}

/// Writes the used glyphs of a font, and what each of them stands for, so that text can be searched and copied.
fn write_font(pdf: &mut Pdf, font_ref: Ref, font: &Font, weight: Weight) -> Result<(), PdfError> {
    let mut next = font_ref;
    let [_, cid, descriptor, cmap, data] = std::array::from_fn(|_| next.bump());
    let name = match weight {
        Weight::Regular => Name(b"WATSTP+LiberationSans"),
        Weight::Bold => Name(b"WATSTP+LiberationSans-Bold"),
    };
    let system = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };
    pdf.type0_font(font_ref)
        .base_font(name)
        .encoding_predefined(Name(b"Identity-H"))
        .descendant_font(cid)
        .to_unicode(cmap);
    let em = 1000.0 / f32::from(font.face.units_per_em());
    let widths = font.remapper.remapped_gids().map(|glyph| {
        let advance = font.face.glyph_hor_advance(ttf_parser::GlyphId(glyph)).unwrap_or(0);
        f32::from(advance) * em
    });
    let mut cid_font = pdf.cid_font(cid);
    cid_font.subtype(CidFontType::Type2).base_font(name).system_info(system);
    cid_font.font_descriptor(descriptor).cid_to_gid_map_predefined(Name(b"Identity"));
    cid_font.widths().consecutive(0, widths);
    cid_font.finish();
    let bounds = font.face.global_bounding_box();
    let scaled = |units: i16| f32::from(units) * em;
    pdf.font_descriptor(descriptor)
        .name(name)
        .flags(FontFlags::NON_SYMBOLIC)
        .bbox(Rect::new(
            scaled(bounds.x_min),
            scaled(bounds.y_min),
            scaled(bounds.x_max),
            scaled(bounds.y_max),
        ))
        .italic_angle(0.0)
        .ascent(scaled(font.face.ascender()))
        .descent(scaled(font.face.descender()))
        .cap_height(scaled(font.face.capital_height().unwrap_or_default()))
        .stem_v(if weight == Weight::Bold { 140.0 } else { 90.0 })
        .font_file2(data);
    let mut unicode = UnicodeCmap::new(Name(b"Custom"), system);
    for (glyph, sign) in &font.signs {
        unicode.pair(*glyph, *sign);
    }
    let unicode = unicode.finish();
    pdf.cmap(cmap, unicode.as_slice());
    let subset = subsetter::subset(font.data, 0, &font.remapper)
        .map_err(|error| PdfError::Font(error.to_string()))?;
    let length = i32::try_from(subset.len()).unwrap_or(i32::MAX);
    let packed = compress_to_vec_zlib(&subset, LEVEL);
    pdf.stream(data, &packed).filter(Filter::FlateDecode).pair(Name(b"Length1"), length);
    Ok(())
}
