//! Numbers as netlists write them: `4.7k`, `100meg`, `0.33ohm`.

/// The number that a word begins with, with its scale; what follows the scale is a unit and counts for nothing. As the simulator
/// reads it, `M` is a thousandth and `meg` a million.
#[must_use]
pub fn number(word: &str) -> Option<f64> {
    let word = word.to_ascii_lowercase();
    let end = end_of_digits(&word)?;
    let (digits, rest) = word.split_at(end);
    let value: f64 = digits.parse().ok()?;
    if !rest.chars().all(|c| c.is_ascii_alphabetic()) {
        return None;
    }
    let scaled = value * scale(rest);
    scaled.is_finite().then_some(scaled)
}

/// Where the digits end, an exponent among them.
fn end_of_digits(word: &str) -> Option<usize> {
    let is_of_number = |(_, c): &(usize, char)| c.is_ascii_digit() || ".+-".contains(*c);
    let plain =
        word.char_indices().find(|place| !is_of_number(place)).map_or(word.len(), |(at, _)| at);
    let exponent = word.get(plain..)?.strip_prefix('e').map(|rest| {
        let signed = rest.strip_prefix(['+', '-']).unwrap_or(rest);
        let digits = signed.chars().take_while(char::is_ascii_digit).count();
        (digits > 0).then_some(plain + 1 + rest.len() - signed.len() + digits)
    });
    (plain > 0).then(|| exponent.flatten().unwrap_or(plain))
}

fn scale(rest: &str) -> f64 {
    const SCALES: [(&str, f64); 9] = [
        ("meg", 1e6),
        ("t", 1e12),
        ("g", 1e9),
        ("k", 1e3),
        ("m", 1e-3),
        ("u", 1e-6),
        ("n", 1e-9),
        ("p", 1e-12),
        ("f", 1e-15),
    ];
    let found = SCALES.iter().find(|(letters, _)| rest.starts_with(letters));
    found.map_or(1.0, |(_, scale)| *scale)
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn numbers_are_read_as_the_simulator_reads_them() {
        for (word, value) in [
            ("4.7k", 4.7e3),
            ("100MEG", 100e6),
            ("100M", 0.1),
            ("0.33ohm", 0.33),
            ("10uF", 10e-6),
            ("1e-3", 1e-3),
            ("2.2e3", 2.2e3),
            ("-5", -5.0),
            ("1g", 1e9),
            ("47n", 47e-9),
        ] {
            let read = number(word).unwrap_or(f64::NAN);
            assert!((read - value).abs() <= 1e-12 * value.abs(), "{word}: {read}");
        }
        for word in ["", "k", "1k5", "{x}", "--5", "1e999", "r=5"] {
            assert_eq!(number(word), None, "{word}");
        }
    }
}
