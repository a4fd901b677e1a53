//! A circuit, and what is known of it in one state.

use super::answer::{CaseError, CircuitValues};
use super::error::CircuitError;
use crate::netlist::{Case, CircuitPoint, Netlist};
use crate::procedure::{CircuitFile, Expression, OutputValue, Procedure, ValueLookup};
use crate::quantity::{Dimension, Quantity};
use crate::record::Key;

/// A circuit file with its netlist, both without findings.
#[derive(Clone, Debug)]
pub struct Circuit {
    /// What the netlist stands for.
    pub file: CircuitFile,
    /// The netlist.
    pub netlist: Netlist,
}

/// A state of the circuit: what was asked, and what came of it.
pub(super) type State<'a> = (&'a Case, &'a Result<CircuitValues, CaseError>);

/// The voltage between the two nodes of an element.
pub(super) fn terminals(circuit: &Circuit, element: &str) -> Option<CircuitPoint> {
    let element = circuit.netlist.element(element)?;
    Some(CircuitPoint::Voltage(element.nodes.first()?.clone(), element.nodes.get(1)?.clone()))
}

/// What is asked in every state: the points of the file, and what its sources deliver.
pub(super) fn asked(circuit: &Circuit) -> Vec<CircuitPoint> {
    let named = circuit.file.points.iter().filter_map(|(_, text)| CircuitPoint::read(text).ok());
    let sources = circuit.file.sources.iter().flat_map(|(_, source)| {
        let terminals = terminals(circuit, &source.element);
        [Some(CircuitPoint::Current(source.element.value.clone())), terminals].into_iter().flatten()
    });
    named.chain(sources).collect()
}

impl Circuit {
    /// Sees that the circuit is of equipment for a procedure.
    ///
    /// # Errors
    /// It is of other equipment.
    pub(super) fn is_of(&self, procedure: &Procedure) -> Result<(), CircuitError> {
        let (circuit, procedure) = (&self.file.rehearses.value, &procedure.procedure.value);
        if circuit == procedure {
            return Ok(());
        }
        let (circuit, procedure) = (circuit.clone(), procedure.clone());
        Err(CircuitError::OtherProcedure { circuit, procedure })
    }

    /// What is read at a question, as the circuit file says; nothing where it says nothing of it, and nothing inside where the
    /// circuit doesn't tell it.
    pub(super) fn reading(
        &self,
        key: &Key,
        state: State<'_>,
        known: &ValueLookup<'_>,
    ) -> Option<Option<Quantity>> {
        let written = key.widening().find_map(|name| self.file.readings.get(name))?;
        Some(self.worked_out(written, state, known))
    }

    /// What is read at an output: as the circuit file says under its name, or of the source that it feeds.
    pub(super) fn output(
        &self,
        channel: &str,
        what: OutputValue,
        state: State<'_>,
        known: &ValueLookup<'_>,
    ) -> Option<Quantity> {
        let word = match what {
            OutputValue::Voltage => "voltage",
            OutputValue::Current => "current",
        };
        if let Some(formula) = self.file.readings.get(&format!("{channel}.{word}")) {
            return self.worked_out(formula, state, known);
        }
        let source = self.file.sources.get(channel)?;
        let point = match what {
            OutputValue::Voltage => terminals(self, &source.element)?,
            OutputValue::Current => CircuitPoint::Current(source.element.value.clone()),
        };
        of(state, &point)
    }

    /// A formula of the circuit file, with its points as they are now.
    pub(super) fn worked_out(
        &self,
        formula: &Expression,
        state: State<'_>,
        known: &ValueLookup<'_>,
    ) -> Option<Quantity> {
        let value =
            |name: &str| self.point(name, state).map(|value| vec![value]).or_else(|| known(name));
        formula.evaluate(&value).ok()
    }

    /// The value of a named point of the circuit file.
    fn point(&self, name: &str, state: State<'_>) -> Option<Quantity> {
        of(state, &CircuitPoint::read(self.file.points.get(name)?).ok()?)
    }
}

/// What a point measures.
pub(super) fn dimension(point: &CircuitPoint) -> Dimension {
    match point {
        CircuitPoint::Voltage(..) => Dimension::VOLTAGE,
        CircuitPoint::Current(_) => Dimension::CURRENT,
        CircuitPoint::Power(_) => Dimension::POWER,
    }
}

/// A number of the circuit as a value of the procedure.
fn of((case, values): State<'_>, point: &CircuitPoint) -> Option<Quantity> {
    Quantity::from_f64(values.as_ref().ok()?.of(case, point)?, dimension(point))
}
