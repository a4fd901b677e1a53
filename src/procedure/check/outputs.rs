//! The outputs of a supply that a procedure names.

use crate::procedure::{At, Point, Procedure, Stage};

/// The outputs that are set in the stages on this stage's source: the supply stays connected from one to the next.
pub(super) fn set_with<'a>(
    procedure: &'a Procedure,
    stage: &Stage,
) -> impl Iterator<Item = &'a At<String>> {
    let source = stage.source.value;
    let alike = procedure.stages.iter().filter(move |other| other.source.value == source);
    alike.flat_map(Stage::channels)
}

/// The points from which steps of a stage are read, as they are written.
pub(super) fn read_from(stage: &Stage) -> impl Iterator<Item = &At<String>> {
    stage.steps.iter().filter_map(|step| {
        let read = step.read.as_ref().and_then(|read| read.from.as_ref());
        read.or(step.watch.as_ref().and_then(|watch| watch.from.as_ref()))
    })
}

/// The output of a point; none for a meter's function.
pub(super) fn output_of(point: &str) -> Option<String> {
    match Point::parse(point) {
        Point::Output { channel, .. } => Some(channel),
        Point::Function(_) => None,
    }
}
