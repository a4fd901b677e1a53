//! An equipment file whose questions were left before the last one.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::Equipment;

pub(super) const CHECK: Check =
    Check::new("YML014", "left-incomplete", include_str!("left_incomplete.md")).of_equipment(run);

fn run(equipment: &Equipment) -> Vec<Finding> {
    let found = equipment.incomplete.as_ref().map(|procedure| {
        CHECK
            .error("this equipment file was left before its last question")
            .at(procedure.span)
            .help("go on with `wattstep equipment new PROCEDURE --out` and this file")
    });
    found.into_iter().collect()
}
