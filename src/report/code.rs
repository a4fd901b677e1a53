//! A text as a QR code (ISO/IEC 18004), so that a phone can take it from paper.

use qrcode::{Color, QrCode};

use super::{Drawing, Ink, Mark};

/// The side of one module (pt): about 0.8 mm, which a phone reads from paper.
const MODULE: f64 = 2.2;
/// The standard asks for a margin of four modules.
const QUIET: f64 = 4.0;

/// Draws a text as a QR code; `None` for a text too long for one.
#[must_use]
pub fn code(text: &str) -> Option<Drawing> {
    let code = QrCode::new(text.as_bytes()).ok()?;
    let modules = code.width();
    #[expect(clippy::cast_precision_loss, reason = "a code has at most 177 modules a side")]
    let place = |module: usize| (QUIET + module as f64) * MODULE;
    let side = place(modules) + QUIET * MODULE;
    let mut marks = vec![Mark::filled((0.0, 0.0), side, side, Ink::Paper)];
    for (row, colors) in code.to_colors().chunks(modules).enumerate() {
        // Modules side by side are one area: no seam shows between them.
        let mut column = 0;
        for run in colors.chunk_by(|one, next| one == next) {
            if run.first() == Some(&Color::Dark) {
                let width = place(column + run.len()) - place(column);
                marks.push(Mark::filled((place(column), place(row)), width, MODULE, Ink::Dark));
            }
            column += run.len();
        }
    }
    Some(Drawing { width: side, height: side, marks, words: text.to_owned() })
}
