//! What was proved, as a table and as JSON.

use serde_json::{Value, json};

use crate::bench::instruments::DriverError;
use crate::cli::exit::Exit;
use crate::diagnostic::Style;
use crate::report::{Sheet, Tone};

/// What came of a proof.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ProofVerdict {
    /// It is as the file says.
    Good,
    /// It is as the file says, and someone should look.
    Note,
    /// It could not be done.
    LeftOut,
    /// It is not as the file says.
    Bad,
    /// An output is on, or not confirmed to be off, although it was told to go off.
    On,
    /// The instrument can't be spoken with.
    Lost,
}

/// One proof.
#[derive(Clone, Debug)]
pub(super) struct BenchProof {
    pub(super) instrument: String,
    pub(super) output: Option<String>,
    pub(super) proof: &'static str,
    pub(super) verdict: ProofVerdict,
    pub(super) detail: String,
    /// The numbers behind the detail.
    pub(super) values: Value,
}

impl ProofVerdict {
    pub(super) fn of(good: bool) -> Self {
        if good { Self::Good } else { Self::Bad }
    }

    pub(super) fn of_error(error: &DriverError) -> Self {
        match error {
            error if error.is_out_of_contact() => Self::Lost,
            error if error.is_not_off() => Self::On,
            _ => Self::Bad,
        }
    }

    fn words(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Note => "note",
            Self::LeftOut => "left out",
            Self::Bad => "NOT SO",
            Self::On => "IS ON",
            Self::Lost => "LOST",
        }
    }

    fn tone(self) -> Tone {
        match self {
            Self::Good => Tone::Good,
            Self::Note | Self::LeftOut => Tone::Caution,
            Self::Bad | Self::On | Self::Lost => Tone::Bad,
        }
    }
}

impl BenchProof {
    pub(super) fn json(&self) -> Value {
        json!({
            "instrument": self.instrument,
            "output": self.output,
            "proof": self.proof,
            "verdict": self.verdict.words().to_lowercase(),
            "detail": self.detail,
            "values": self.values,
        })
    }
}

/// The proofs by instrument, in words, with what it all comes to; `is_whole` tells whether nothing came in between.
pub(super) fn sheet(proved: &[BenchProof], is_whole: bool, style: Style) -> String {
    let mut sheet = Sheet::new(style);
    let alarm = |sheet: &mut Sheet| {
        for proof in proved.iter().filter(|proof| proof.verdict == ProofVerdict::On) {
            sheet.line(Tone::Bad, &proof.detail);
        }
    };
    // Above all else and below it: one of the two is seen first, however long the rest is.
    alarm(&mut sheet);
    for of_instrument in proved.chunk_by(|one, other| one.instrument == other.instrument) {
        let Some(first) = of_instrument.first() else { continue };
        sheet.gap();
        sheet.line(Tone::Strong, &first.instrument);
        for proof in of_instrument {
            let output =
                proof.output.as_ref().map(|name| format!(" of {name}")).unwrap_or_default();
            let lead = format!("  {:<9} ", proof.verdict.words());
            let text = format!("{}{output}: {}", proof.proof, proof.detail);
            sheet.indented(proof.verdict.tone(), &lead, &text);
        }
    }
    sheet.gap();
    let (tone, end) = match exit(proved, is_whole) {
        _ if proved.iter().any(|proof| proof.verdict == ProofVerdict::On) => {
            (Tone::Bad, "An output is on, or not confirmed to be off.")
        }
        Exit::Instrument => (Tone::Bad, "An instrument was lost: do not rely on this bench."),
        Exit::Findings => {
            (Tone::Bad, "Not as the bench file says: mend the instrument or the file.")
        }
        _ if !is_whole => {
            (Tone::Caution, "Left unfinished: nothing is said of what was not tried.")
        }
        _ if proved.iter().any(|proof| proof.verdict == ProofVerdict::LeftOut) => {
            (Tone::Caution, "What was proved is as the bench file says; some of it was left out.")
        }
        _ => (Tone::Good, "All is as the bench file says."),
    };
    sheet.line(tone, end);
    alarm(&mut sheet);
    sheet.finish()
}

/// How the program ends: a lost instrument is graver than a signal, and a signal than one that is otherwise.
pub(super) fn exit(proved: &[BenchProof], is_whole: bool) -> Exit {
    let is_there = |verdict| proved.iter().any(|proof| proof.verdict == verdict);
    if is_there(ProofVerdict::Lost) || is_there(ProofVerdict::On) {
        Exit::Instrument
    } else if !is_whole {
        Exit::Unfinished
    } else if is_there(ProofVerdict::Bad) {
        Exit::Findings
    } else {
        Exit::Finished
    }
}
