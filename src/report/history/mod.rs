//! Values over time, drawn for a terminal or as SVG.

mod svg;

/// What stands out about a point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PointMark {
    /// Nothing.
    Usual,
    /// It is outside its window or outside the control limits, or unlike the others.
    Odd,
}

/// A value at a time.
#[derive(Clone, Debug, PartialEq)]
pub struct PlotPoint {
    /// When, in any unit.
    pub at: f64,
    /// The value.
    pub value: f64,
    /// What stands out about it.
    pub mark: PointMark,
    /// What it is, in words.
    pub words: String,
}

/// What a level across the plot stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Level {
    /// The mean.
    Mean,
    /// A control limit.
    Control,
    /// A limit of the window.
    Window,
}

/// A level across the plot.
#[derive(Clone, Debug, PartialEq)]
pub struct PlotLine {
    /// What it stands for.
    pub level: Level,
    /// Its value.
    pub value: f64,
    /// The value in words.
    pub words: String,
}

/// Values over time, with levels across.
#[derive(Clone, Debug, PartialEq)]
pub struct Plot {
    /// What is shown.
    pub title: String,
    /// The values in the order of their times; at least one.
    pub points: Vec<PlotPoint>,
    /// The levels.
    pub lines: Vec<PlotLine>,
}

/// Rows of a plot on a terminal.
const ROWS: usize = 11;

/// The least columns for the values themselves.
const COLUMNS_MIN: usize = 8;

impl Level {
    /// The level in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Mean => "mean",
            Self::Control => "control limit",
            Self::Window => "window",
        }
    }

    fn sign(self, ascii: bool) -> char {
        match (self, ascii) {
            (Self::Mean, false) => '─',
            (Self::Mean, true) => '-',
            (Self::Control, false) => '┄',
            (Self::Control, true) => '.',
            (Self::Window, false) => '═',
            (Self::Window, true) => '=',
        }
    }
}

impl Plot {
    /// The lowest and the highest value that is drawn. A window far wider than the values would flatten them, so its limits
    /// are drawn only where they are no farther off than the values are spread.
    pub(super) fn range(&self) -> (f64, f64) {
        let near = self.lines.iter().filter(|line| line.level != Level::Window);
        let (low, high) =
            ends(self.points.iter().map(|point| point.value).chain(near.map(|point| point.value)));
        let spread = high - low;
        let windows = self.lines.iter().filter(|line| line.level == Level::Window);
        let close = windows
            .map(|line| line.value)
            .filter(|value| (low - spread..=high + spread).contains(value));
        let (low, high) = ends(close.chain([low, high]));
        if high > low {
            (low, high)
        } else {
            (low - 0.5 * low.abs().max(1e-12), high + 0.5 * high.abs().max(1e-12))
        }
    }

    /// Draws it for a terminal of this width, one row a line, from the highest value down.
    #[must_use]
    pub fn drawn(&self, width: usize, ascii: bool) -> Vec<String> {
        let names = self.lines.iter().map(|line| console::measure_text_width(&line.words)).max();
        let margin = names.unwrap_or(0).min(width.saturating_sub(COLUMNS_MIN + 1));
        let columns = width.saturating_sub(margin + 1).max(COLUMNS_MIN);
        let (low, high) = self.range();
        let row = |value: f64| place((high - value) / (high - low), ROWS);
        let mut cells = vec![vec![' '; columns]; ROWS];
        let mut labels = vec![String::new(); ROWS];
        for line in self.lines.iter().rev().filter(|line| (low..=high).contains(&line.value)) {
            if let (Some(cells), Some(label)) =
                (cells.get_mut(row(line.value)), labels.get_mut(row(line.value)))
            {
                cells.fill(line.level.sign(ascii));
                label.clone_from(&line.words);
            }
        }
        let count = self.points.len();
        // What is odd is drawn last, so that nothing covers it.
        for mark in [PointMark::Usual, PointMark::Odd] {
            for (index, point) in
                self.points.iter().enumerate().filter(|(_, reading)| reading.mark == mark)
            {
                let column = (2 * index + 1) * columns / (2 * count);
                if let Some(cell) =
                    cells.get_mut(row(point.value)).and_then(|row| row.get_mut(column))
                {
                    *cell = sign(mark, ascii);
                }
            }
        }
        let line = |(cells, label): (Vec<char>, String)| {
            let cut: String = label.chars().take(margin).collect();
            let blank = " ".repeat(margin - console::measure_text_width(&cut).min(margin));
            format!("{blank}{cut} {}", cells.into_iter().collect::<String>())
        };
        cells.into_iter().zip(labels).map(line).collect()
    }

    /// Says what the signs of a drawn plot stand for.
    #[must_use]
    pub fn key(&self, ascii: bool) -> String {
        let mut levels: Vec<Level> = Vec::new();
        for line in &self.lines {
            if !levels.contains(&line.level) {
                levels.push(line.level);
            }
        }
        let levels =
            levels.iter().map(|level| format!(", {0}{0} {1}", level.sign(ascii), level.words()));
        let (usual, odd) = (sign(PointMark::Usual, ascii), sign(PointMark::Odd, ascii));
        format!("{usual} a run, {odd} one to look at{}", levels.collect::<String>())
    }
}

fn sign(mark: PointMark, ascii: bool) -> char {
    match (mark, ascii) {
        (PointMark::Usual, false) => '•',
        (PointMark::Usual, true) => 'o',
        (PointMark::Odd, _) => 'X',
    }
}

fn ends(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
        (low.min(value), high.max(value))
    })
}

/// The place of a share from 0 to 1 among so many.
fn place(share: f64, places: usize) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between zero and the number of places"
    )]
    let place = (share.clamp(0.0, 1.0) * (places - 1) as f64).round() as usize;
    place
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;

    fn plot(values: &[f64]) -> Plot {
        let point = |(index, value): (u32, &f64)| PlotPoint {
            at: f64::from(index),
            value: *value,
            mark: if *value > 8.0 { PointMark::Odd } else { PointMark::Usual },
            words: format!("run {index}"),
        };
        let line = |level, value: f64| PlotLine { level, value, words: format!("{value} mA") };
        Plot {
            title: "Idle current (invented)".to_owned(),
            points: (0..).zip(values).map(point).collect(),
            lines: vec![
                line(Level::Mean, 5.0),
                line(Level::Control, 1.0),
                line(Level::Window, 100.0),
            ],
        }
    }

    #[test]
    fn each_value_has_its_place_and_the_odd_one_its_sign() {
        let drawn = plot(&[1.0, 5.0, 9.0]).drawn(20, true);
        assert_eq!(drawn.len(), ROWS);
        let at = |row: usize, column: usize| {
            drawn.get(row).unwrap().chars().nth("100 mA ".len() + column).unwrap()
        };
        assert_eq!((at(0, 10), at(5, 6), at(10, 2)), ('X', 'o', 'o'), "{drawn:#?}");
        assert!(drawn.get(5).unwrap().trim_start().starts_with("5 mA ------o"), "{drawn:#?}");
        assert!(!drawn.concat().contains('='), "a window far off is not drawn");
    }

    #[test]
    fn no_row_is_wider_than_the_terminal_however_many_runs() {
        let many: Vec<_> = (0..5_000).map(|i| f64::from(i % 10)).collect();
        for width in [20, 40, 100] {
            for ascii in [true, false] {
                for row in plot(&many).drawn(width, ascii) {
                    assert!(console::measure_text_width(&row) <= width, "{row:?}");
                    assert!(!ascii || row.is_ascii());
                }
            }
        }
        assert!(plot(&many).drawn(40, true).concat().contains('X'), "what is odd is never covered");
    }

    #[test]
    fn a_single_value_is_drawn() {
        let lone = Plot { lines: Vec::new(), ..plot(&[5.0]) };
        assert!(lone.drawn(40, false).concat().contains('•'));
        let zero = Plot { lines: Vec::new(), ..plot(&[0.0]) };
        assert!(zero.drawn(40, false).concat().contains('•'));
    }
}
