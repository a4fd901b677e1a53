//! What came of many sound sets.

use serde::Serialize;

use crate::procedure::SpreadShape;
use crate::statistics::Share;

/// What came of many sound sets, each with its parts off within their tolerances.
#[derive(Clone, Debug, Serialize)]
pub struct SoundSpread {
    /// How many were drawn.
    pub draws: u32,
    /// What they were drawn from.
    pub seed: u64,
    /// The version of the simulator.
    pub engine: u32,
    /// How many operating points were worked out.
    pub cases: usize,
    /// How many of them to turn controls until they showed what they should.
    pub tries: usize,
    /// What was off, and how far at the most.
    pub drawn: Vec<DrawnTolerance>,
    /// Parts of the circuit file that stand at their values.
    pub undrawn: Vec<String>,
    /// Those of which nothing is known: they count for nothing else.
    pub lost: Vec<LostDraw>,
    /// How many of the others the procedure stops, though nothing is wrong with them; none where all are lost.
    pub false_stops: Option<Share>,
    /// Where it stops them.
    pub stopped_at: Vec<StopCount>,
    /// Each reading.
    pub readings: Vec<ReadingSpread>,
}

/// Something that was off.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DrawnTolerance {
    /// The part, with the parameter of its model, or `mains`.
    pub name: String,
    /// The most, as a part of its value.
    pub within: f64,
    /// How it is spread.
    pub shape: SpreadShape,
}

/// A set without an operating point.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LostDraw {
    /// Its number, from 1 on.
    pub draw: u32,
    /// Why nothing is known of it.
    pub why: String,
}

/// How many sets are stopped at a step first.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct StopCount {
    /// The step, with its part.
    pub step: String,
    /// How many.
    pub count: u32,
}

/// One reading of all sets.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReadingSpread {
    /// Its step, with its part.
    pub step: String,
    /// What it measures.
    pub quantity: String,
    /// What a fortieth of them is below (base units).
    pub low: f64,
    /// What half of them is below.
    pub median: f64,
    /// What a fortieth of them is above.
    pub high: f64,
    /// The three in words.
    pub words: [String; 3],
    /// The window of a set without tolerances, in words.
    pub window: String,
    /// Whether the window of a set goes by what was read before.
    pub is_moving: bool,
    /// How many are outside of their windows.
    pub outside: Share,
    /// How many times the way from the middle to the end of the spread goes into that from the middle to the nearest limit; none without
    /// a limit or a spread.
    pub room: Option<f64>,
    /// What is to be said of the window.
    pub fit: WindowFit,
    /// What moves it most; none where nothing stands out.
    pub mover: Option<Mover>,
}

/// How a window fits what sound sets read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum WindowFit {
    /// Neither of the others.
    Fits,
    /// More than one sound set in a hundred is outside, surely.
    TooTight,
    /// No limit is near what any sound set reads. Never said of what is guarded while a source is on: that is there for overloads.
    TooWide,
    /// Nothing is judged.
    RecordOnly,
}

/// What moves a reading.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mover {
    /// The part, with the parameter of its model, or `mains`.
    pub name: String,
    /// Spearman's rank correlation with the reading.
    pub correlation: f64,
}

/// Above this share of sound sets outside a window is too tight; common practice, no source.
const TIGHT: f64 = 0.01;

/// Above this much room it is too wide; common practice, no source.
const WIDE: f64 = 10.0;

impl SoundSpread {
    /// The readings whose window is too tight.
    pub fn too_tight(&self) -> impl Iterator<Item = &ReadingSpread> {
        self.readings.iter().filter(|reading| reading.fit == WindowFit::TooTight)
    }

    /// The readings whose window is too wide, the widest first.
    #[must_use]
    pub fn too_wide(&self) -> Vec<&ReadingSpread> {
        let wide = self.readings.iter().filter(|reading| reading.fit == WindowFit::TooWide);
        let mut wide: Vec<_> = wide.collect();
        let room = |reading: &ReadingSpread| reading.room.unwrap_or_default();
        wide.sort_by(|one, other| room(other).total_cmp(&room(one)));
        wide
    }
}

impl WindowFit {
    /// What is to be said of a window, by how many are outside and the room that is left.
    pub(super) fn of(outside: &Share, room: Option<f64>, is_judged: bool) -> Self {
        if !is_judged {
            return Self::RecordOnly;
        }
        match room {
            // The lower end of the interval, so that a few draws don't condemn it.
            _ if outside.low > TIGHT => Self::TooTight,
            Some(room) if outside.count == 0 && room > WIDE => Self::TooWide,
            _ => Self::Fits,
        }
    }
}
