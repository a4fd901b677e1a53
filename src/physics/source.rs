//! Where a published figure comes from, and how well it was checked.

/// How well a figure was checked against its source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SourceStanding {
    /// Read in the document itself, or in the maker's own sheet.
    Seen,
    /// Read where someone else quotes the document.
    Quoted,
    /// Read in the edition before; that this one keeps it is from memory.
    CarriedOver,
    /// From memory: a default for a person to override, and a report has to say so.
    FromMemory,
    /// No source has the figure: a rule of this program, on the strict side.
    OwnRule,
}

/// Where a figure comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FigureSource {
    /// The document, with its clause where that is known.
    pub text: &'static str,
    /// How well it was checked.
    pub standing: SourceStanding,
}

impl FigureSource {
    /// Names a document that was read itself.
    pub const fn seen(text: &'static str) -> FigureSource {
        FigureSource { text, standing: SourceStanding::Seen }
    }

    /// Names a document that was read where somebody quotes it.
    pub const fn quoted(text: &'static str) -> FigureSource {
        FigureSource { text, standing: SourceStanding::Quoted }
    }

    /// Names a document that was not read.
    pub const fn from_memory(text: &'static str) -> FigureSource {
        FigureSource { text, standing: SourceStanding::FromMemory }
    }
}
