//! The place of a number in a command: `{value}`, or with a format as `{value:05.2}`.

/// The most digits and the widest number that a format may ask for.
const WIDEST: usize = 12;

/// Puts a number into every place for it: plain as it is given, or to the format that stands behind a colon, a width and
/// decimals as in `{value:05.2}`, filled up with zeros where the width begins with one.
///
/// `None` where a place has another format.
#[must_use]
pub fn fill_value(command: &str, value: f64, plain: &str) -> Option<String> {
    let mut filled = String::with_capacity(command.len());
    let mut rest = command;
    while let Some((before, after)) = rest.split_once("{value") {
        let (format, after) = after.split_once('}')?;
        filled.push_str(before);
        match format.strip_prefix(':') {
            None if format.is_empty() => filled.push_str(plain),
            None => return None,
            Some(format) => filled.push_str(&formatted(format, value)?),
        }
        rest = after;
    }
    filled.push_str(rest);
    Some(filled)
}

fn formatted(format: &str, value: f64) -> Option<String> {
    let (width, decimals) = format.split_once('.')?;
    let is_number = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if !is_number(width) || !is_number(decimals) || decimals.is_empty() {
        return None;
    }
    let fill_up = width.starts_with('0');
    let wide: usize = if width.is_empty() { 0 } else { width.parse().ok()? };
    let decimals: usize = decimals.parse().ok()?;
    if wide > WIDEST || decimals > WIDEST {
        return None;
    }
    // No sign before what is nothing.
    let value = if value == 0.0 { 0.0 } else { value };
    Some(if fill_up {
        format!("{value:0wide$.decimals$}")
    } else {
        format!("{value:wide$.decimals$}")
    })
}

#[cfg(test)]
mod tests {
    use super::fill_value;

    #[test]
    fn a_number_is_put_in_as_the_place_for_it_says() {
        for (command, filled) in [
            ("VOLT {value}", Some("VOLT 5.25")),
            ("VOLT {value:.3}", Some("VOLT 5.250")),
            ("VSET1:{value:05.2}", Some("VSET1:05.25")),
            ("V{value:6.1};V{value:.0}", Some("V   5.2;V5")),
            ("OUTP ON", Some("OUTP ON")),
            ("VOLT {value:5}", None),
            ("VOLT {value:.}", None),
            ("VOLT {value:.99}", None),
            ("VOLT {value:x.2}", None),
            ("VOLT {values}", None),
            ("VOLT {value", None),
        ] {
            assert_eq!(fill_value(command, 5.25, "5.25").as_deref(), filled, "{command}");
        }
        assert_eq!(fill_value("VOLT {value:.2}", -0.0, "0").as_deref(), Some("VOLT 0.00"));
    }
}
