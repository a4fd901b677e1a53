//! What people sign under an event.

use super::{Event, Key, Signature};

/// What people sign under an event: the answer, and their signatures.
#[derive(Clone, Copy, Debug)]
pub enum Signable<'a> {
    /// An answer to a question.
    Answer {
        /// The question's key.
        key: &'a Key,
        /// What was answered.
        text: &'a str,
        /// The signature under it, if somebody signed.
        signature: Option<&'a Signature>,
    },
    /// The bench was handed over.
    HandOver {
        /// To whom.
        to: &'a str,
        /// What was said about the state of the work.
        remarks: &'a str,
        /// The signatures of both, if they signed.
        signatures: &'a [Signature],
    },
}

impl Event {
    /// What people sign under it; nothing where nobody can sign.
    #[must_use]
    pub fn signable(&self) -> Option<Signable<'_>> {
        match self {
            Self::Entered { key, text, signature, .. } => {
                Some(Signable::Answer { key, text, signature: signature.as_deref() })
            }
            Self::HandedOver { to, remarks, signatures } => {
                Some(Signable::HandOver { to, remarks, signatures })
            }
            Self::Started(_)
            | Self::Measured { .. }
            | Self::Sampled { .. }
            | Self::Present { .. }
            | Self::Unattended { .. }
            | Self::FoundOn(_)
            | Self::OffUnconfirmed { .. }
            | Self::OffConfirmed { .. }
            | Self::Acknowledged { .. }
            | Self::Declined { .. }
            | Self::Ticked
            | Self::Noted { .. }
            | Self::Attached { .. }
            | Self::Halted { .. }
            | Self::InstrumentLost { .. }
            | Self::Tripped { .. }
            | Self::RecordFailed { .. }
            | Self::ClockUpset { .. }
            | Self::Interrupted { .. }
            | Self::Abandoned { .. }
            | Self::Resumed { .. }
            | Self::Probed { .. }
            | Self::Diagnosed(_)
            | Self::Amended { .. }
            | Self::Voided { .. } => None,
        }
    }

    /// The signatures under it.
    pub fn signatures(&self) -> impl Iterator<Item = &Signature> {
        let (one, more) = match self.signable() {
            Some(Signable::Answer { signature, .. }) => (signature, &[][..]),
            Some(Signable::HandOver { signatures, .. }) => (None, signatures),
            None => (None, &[][..]),
        };
        one.into_iter().chain(more)
    }
}
