//! Text made fit for the fonts and broken into lines.

use super::font::Font;
use crate::diagnostic::clean;

/// Cleans a text and writes what the font has no sign for as its number.
pub(super) fn fit(font: &Font, text: &str) -> String {
    let mut fitting = String::with_capacity(text.len());
    for c in clean(text).chars() {
        if font.has(c) {
            fitting.push(c);
        } else {
            fitting.push_str(&format!("[U+{:04X}]", u32::from(c)));
        }
    }
    fitting
}

/// Breaks a text into lines no wider than `width` (pt): between words, or within one that is too long.
pub(super) fn broken(font: &Font, text: &str, size: f64, width: f64) -> Vec<String> {
    let mut lines = Vec::new();
    let (mut line, mut used) = (String::new(), 0.0);
    let blank = font.width(' ', size);
    for word in text.split(' ') {
        let needed = font.measure(word, size);
        if !line.is_empty() && used + blank + needed > width {
            lines.push(std::mem::take(&mut line));
            used = 0.0;
        }
        if !line.is_empty() {
            line.push(' ');
            used += blank;
        }
        for c in word.chars() {
            let wide = font.width(c, size);
            if used + wide > width && !line.is_empty() {
                lines.push(std::mem::take(&mut line));
                used = 0.0;
            }
            line.push(c);
            used += wide;
        }
    }
    lines.push(line);
    lines
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::super::font::Fonts;
    use super::*;

    #[test]
    fn no_line_is_wider_than_its_room_and_nothing_is_lost() {
        let fonts = Fonts::new().unwrap();
        let hash = "0123456789abcdef".repeat(4);
        let text = format!("Current drawn from the positive rail, SHA-256 {hash} and after");
        for width in [40.0, 90.0, 300.0] {
            let lines = broken(&fonts.regular, &text, 9.0, width);
            for line in &lines {
                assert!(fonts.regular.measure(line, 9.0) <= width, "{line:?}");
            }
            assert_eq!(lines.concat().replace(' ', ""), text.replace(' ', ""));
        }
    }

    #[test]
    fn a_sign_that_the_font_lacks_is_named() {
        let fonts = Fonts::new().unwrap();
        assert_eq!(fit(&fonts.regular, "10 µF ± 20 % Ω Łukasz Οδός"), "10 µF ± 20 % Ω Łukasz Οδός");
        assert_eq!(fit(&fonts.regular, "一\u{202e}"), "[U+4E00]\\u{202e}");
    }
}
