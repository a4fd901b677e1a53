//! What each part bears, against what it is rated for.

use super::outcome::Worst;
use crate::circuit::model::{Circuit, State, terminals};
use crate::netlist::{CircuitPoint, PlacedFault};
use crate::quantity::{Dimension, Quantity};
use crate::record::BornePart;

/// What is looked at for a part.
#[derive(Clone, Debug)]
pub(in crate::circuit) struct Gauge {
    part: String,
    rating: Quantity,
    pub(in crate::circuit) point: CircuitPoint,
}

/// What is looked at for every part: the watts of it, the volts across it or the amperes through it, as it is rated.
pub(in crate::circuit) fn gauges(circuit: &Circuit) -> Vec<Gauge> {
    let gauge = |name: &str, rating: Quantity| {
        let point = match rating.dimension {
            Dimension::VOLTAGE => terminals(circuit, name)?,
            Dimension::CURRENT => CircuitPoint::Current(name.to_owned()),
            _ => CircuitPoint::Power(name.to_owned()),
        };
        Some(Gauge { part: name.to_owned(), rating, point })
    };
    let rated = circuit.file.parts.iter();
    rated.filter_map(|(name, part)| gauge(name, part.rating.as_ref()?.value)).collect()
}

/// What the parts have borne so far.
#[derive(Debug)]
pub(in crate::circuit) struct Borne<'a> {
    gauges: &'a [Gauge],
    /// Of each gauge: the most, and what it adds up to over time.
    parts: Vec<(f64, f64)>,
    /// The parts that are faulty: what they bear says nothing, they are broken.
    faulty: &'a [PlacedFault],
}

impl<'a> Borne<'a> {
    pub(in crate::circuit) fn new(gauges: &'a [Gauge], faulty: &'a [PlacedFault]) -> Self {
        Self { gauges, parts: vec![(0.0, 0.0); gauges.len()], faulty }
    }

    /// Lets a state last for a time.
    pub(in crate::circuit) fn last(&mut self, (case, values): State<'_>, seconds: f64) {
        let Ok(values) = values else { return };
        for (gauge, (most, sum)) in self.gauges.iter().zip(&mut self.parts) {
            let bears = values.of(case, &gauge.point).unwrap_or_default().abs();
            *most = most.max(bears);
            *sum += bears * seconds;
        }
    }

    /// The part that has borne most for its rating.
    pub(super) fn worst(&self) -> Option<Worst> {
        let part = self.worst_part()?;
        Some(Worst {
            times: part.times(),
            most: part.most.engineering(3, None),
            rating: part.rating.engineering(3, None),
            joules: part.joules,
            part: part.name,
        })
    }

    /// The same, in numbers.
    pub(in crate::circuit) fn worst_part(&self) -> Option<BornePart> {
        let all = self.gauges.iter().zip(&self.parts);
        let is_faulty =
            |part: &str| self.faulty.iter().any(|fault| fault.part.eq_ignore_ascii_case(part));
        let others = all.filter(|(gauge, _)| !is_faulty(&gauge.part));
        let times = |(gauge, (most, _)): &(&Gauge, &(f64, f64))| most / gauge.rating.to_f64();
        let worst = others.max_by(|one, other| times(one).total_cmp(&times(other)))?;
        let (gauge, (most, sum)) = worst;
        let is_power = gauge.rating.dimension == Dimension::POWER;
        Some(BornePart {
            name: gauge.part.clone(),
            most: Quantity::from_f64(*most, gauge.rating.dimension)?,
            rating: gauge.rating,
            joules: is_power.then_some(*sum),
        })
    }
}
