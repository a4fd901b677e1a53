//! The kinds of step: one file each. A new kind is a file here and a line in the table below.

mod act;
mod attach;
mod compare;
mod hold;
mod look;
mod measured;
mod note;
mod prove_dead;
mod read;
mod set;
mod wait;
mod watch;
mod witness;
mod work_out;

use serde::Deserialize;

pub use act::Do;
pub use attach::Attach;
pub use compare::Compare;
pub use hold::Hold;
pub use look::Look;
pub use note::Note;
pub use prove_dead::ProveDead;
pub use read::Read;
pub use set::Set;
pub use wait::Wait;
pub use watch::{SteadyText, Watch};
pub use witness::Witness;
pub use work_out::WorkOut;

use super::act::Keyed;
use super::{Acceptance, At, Expression, Hazard, Hint, ValueLookup, Verify};
use crate::quantity::{Dimension, Unit};
use crate::record::{Source, Unworkable};
use crate::window::Sign;

/// A piece of a procedure, as the checks walk over it.
#[derive(Clone, Copy, Debug)]
pub enum Piece<'a> {
    /// Words for a person.
    Text(&'a At<String>),
    /// A quantity or formula that must have this dimension.
    Quantity {
        /// The key it is written under.
        key: &'static str,
        /// The expression.
        expression: &'a Expression,
        /// The dimension it must have.
        dimension: Dimension,
    },
    /// A width: of this dimension, or a ratio.
    Within {
        /// The key it is written under.
        key: &'static str,
        /// The expression.
        expression: &'a Expression,
        /// The dimension it may have besides a ratio.
        dimension: Dimension,
    },
}

/// What a step's value is to later formulas.
#[derive(Clone, Copy, Debug)]
pub enum Gives<'a> {
    /// A reading in this unit.
    Reading(&'a Unit),
    /// What this formula gives.
    Result(&'a Expression),
}

/// What every kind of step tells of itself.
pub trait Kind {
    /// Its key in YAML.
    fn name(&self) -> &'static str;

    /// Calls `visit` with every text and expression in it.
    fn visit<'a>(&'a self, visit: &mut dyn FnMut(Piece<'a>));

    /// What it gives to later formulas, if anything.
    fn gives(&self) -> Option<Gives<'_>> {
        None
    }

    /// Whether its value is judged by a window. `None` for kinds without a value.
    fn is_judged(&self) -> Option<bool> {
        None
    }

    /// The window of its value, as written.
    fn window(&self) -> Option<&Acceptance> {
        None
    }

    /// The unit of its value, as written.
    fn unit(&self) -> Option<&Unit> {
        None
    }

    /// What a minus means before its value.
    fn sign(&self) -> Sign {
        Sign::OfItsKind
    }

    /// Whether the step puts hands or a probe on the equipment.
    fn is_hands_on(&self) -> bool {
        false
    }

    /// Turns it into acts, with every limit worked out.
    ///
    /// # Errors
    /// An expression without a usable value.
    fn acts(&self, values: &ValueLookup<'_>) -> Result<Vec<Keyed>, Unworkable>;
}

/// Declares [`Step`] and its table of kinds from one line a kind.
macro_rules! kinds {
    ($($(#[$about:meta])* $key:ident: $kind:ty,)*) => {
        /// One step: its name, exactly one kind, and what goes with any kind.
        #[derive(Clone, Debug, Deserialize)]
        #[cfg_attr(test, derive(schemars::JsonSchema))]
        #[serde(deny_unknown_fields)]
        pub struct Step {
            /// The step's name, unique in the procedure; a formula writes it with `_` for `-`.
            pub step: At<String>,
            // Boxed, so that a step has not the size of all its kinds together.
            $($(#[$about])* pub $key: Option<Box<$kind>>,)*
            /// Repeats the step for each named part, or for each part of a named list.
            pub for_each: Option<Vec<At<String>>>,
            /// Why the step is done.
            pub why: Option<At<String>>,
            /// What its limits are based on.
            pub basis: Option<At<String>>,
            /// A notice shown before it.
            pub hazard: Option<Hazard>,
            /// Likely causes of a reading outside the window.
            #[serde(default)]
            pub outside: Vec<Hint>,
            /// The step is for a bench on which no connected supply does it.
            pub by_hand: Option<At<bool>>,
            /// A temporary item the step puts in.
            pub fits: Option<At<String>>,
            /// The sources that may be on while that item is in; none unless it says so.
            #[serde(default)]
            pub allowed_on: Vec<At<Source>>,
            /// A temporary item the step takes out.
            pub removes: Option<At<String>>,
            /// The cover that the step opens: charge points behind it can be reached from here on.
            pub opens: Option<At<String>>,
            /// The cover that the step closes.
            pub closes: Option<At<String>>,
            /// A check the step stands for.
            pub proves: Option<At<SafetyProof>>,
            /// The control it turns or the part it changes.
            pub moves: Option<At<String>>,
            /// What its result counts only as long as nobody moves.
            #[serde(default)]
            pub depends_on: Vec<At<String>>,
            /// What its reading is of, taken before the repair or the adjustment; a report sets it beside the one as left.
            pub as_found: Option<At<String>>,
            /// What its reading is of, taken as the equipment is returned.
            pub as_left: Option<At<String>>,
            /// How a second person verifies it: `independent` on a reading, `concurrent` on an act of switching.
            pub verify: Option<At<Verify>>,
            /// How far the second reading may be from the first: a quantity, or a percentage of the first.
            pub agree_within: Option<Expression>,
        }

        impl Step {
            /// The kinds that are written: exactly one in a sound procedure.
            #[must_use]
            pub fn kinds(&self) -> Vec<&dyn Kind> {
                let mut kinds: Vec<&dyn Kind> = Vec::new();
                $(if let Some(kind) = &self.$key { kinds.push(kind.as_ref()); })*
                kinds
            }
        }
    };
}

kinds! {
    /// One action of the person.
    r#do: Do,
    /// Something to look at, with stated answers.
    look: Look,
    /// A value to read and judge.
    read: Read,
    /// A source to bring up, to change or to switch off.
    set: Set,
    /// A value read again and again for a time.
    watch: Watch,
    /// A value worked out from others and judged.
    work_out: WorkOut,
    /// One quantity come by in two independent ways, which have to agree.
    compare: Compare,
    /// Every charge point measured dead, with the meter proved before and after.
    prove_dead: ProveDead,
    /// A second person has to let the work go on.
    hold: Hold,
    /// A second person is called and may waive it.
    witness: Witness,
    /// Time that has to pass.
    wait: Wait,
    /// Words to write down.
    note: Note,
    /// A photo or file to put beside the record.
    attach: Attach,
}

/// A safety check that a step stands for, so that order can be checked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum SafetyProof {
    /// The mains lead: continuity, polarity, no exposed metal.
    Lead,
    /// The protective earth from plug to metal.
    Earth,
    /// The insulation of the mains side against earth and whatever can be touched.
    Insulation,
    /// The tester and its leads: on a resistor or a current of known value, or with the leads together.
    Tester,
    /// The equipment has no protective earth: the mark of protection class II on its plate is seen.
    NoEarth,
}

impl Step {
    /// The step's kind: the first written one.
    #[must_use]
    pub fn kind(&self) -> Option<&dyn Kind> {
        self.kinds().into_iter().next()
    }

    /// Tells whether the step is left out where a connected supply does it.
    #[must_use]
    pub fn is_by_hand_only(&self) -> bool {
        self.by_hand.as_ref().is_some_and(|by_hand| by_hand.value)
    }

    /// What the step is about, in its own words: what is measured, looked at, done or asked.
    #[must_use]
    pub fn about(&self) -> &str {
        let second = self.hold.as_ref().map(|hold| &hold.ask);
        let second = second.or_else(|| self.witness.as_ref().map(|witness| &witness.ask));
        let mut first = second.map(|ask| ask.as_str());
        if let Some(kind) = self.kind() {
            kind.visit(&mut |part| {
                if let Piece::Text(text) = part {
                    first.get_or_insert(text.as_str());
                }
            });
        }
        first.unwrap_or(self.step.as_str())
    }

    /// Tells whether a source may be on while the item that it fits is in.
    #[must_use]
    pub fn is_allowed_on(&self, source: Source) -> bool {
        self.allowed_on.iter().any(|allowed_on| allowed_on.value == source)
    }

    /// Tells whether the step brings a source up.
    #[must_use]
    pub fn energises(&self) -> bool {
        self.set.as_ref().is_some_and(|set| !set.is_off())
    }

    /// The step's name as a formula writes it.
    #[must_use]
    pub fn formula_name(&self) -> String {
        formula_name(&self.step)
    }

    /// Tells whether the step ends in a verdict, and so in something that a moved control can make worthless.
    #[must_use]
    pub fn has_result(&self) -> bool {
        self.look.is_some() || self.kind().and_then(Kind::is_judged).is_some()
    }

    /// Calls `visit` with every text and expression.
    pub fn visit<'a>(&'a self, visit: &mut dyn FnMut(Piece<'a>)) {
        if let Some(hazard) = &self.hazard {
            hazard.visit(visit);
        }
        let texts = [&self.why, &self.basis, &self.fits, &self.removes, &self.moves];
        let states = [&self.as_found, &self.as_left, &self.opens, &self.closes];
        for text in texts.into_iter().chain(states).flatten() {
            visit(Piece::Text(text));
        }
        for name in self.for_each.iter().flatten().chain(&self.depends_on) {
            visit(Piece::Text(name));
        }
        let gives = self.kind().and_then(Kind::gives);
        for kind in self.kinds() {
            kind.visit(visit);
        }
        for hint in &self.outside {
            hint.visit(gives, visit);
        }
        if let Some((expression, unit)) =
            self.agree_within.as_ref().zip(self.kind().and_then(Kind::unit))
        {
            let dimension = unit.dimension();
            visit(Piece::Within { key: "agree_within", expression, dimension });
        }
    }
}

/// A name as a formula writes it.
#[must_use]
pub fn formula_name(name: &str) -> String {
    name.replace('-', "_")
}

fn only(act: super::act::Act) -> Vec<Keyed> {
    vec![Keyed { matter: None, act }]
}
