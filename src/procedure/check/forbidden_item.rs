//! A temporary item that is in while a source is on which it is not allowed on.

use super::shorts::{ShortedItem, item_of, puts_a_short_in};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::flow::{energises, flows};
use crate::procedure::{At, Step};
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD030", "forbidden-item", include_str!("forbidden_item.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let mut fitting: Vec<(&Step, &At<String>)> = Vec::new();
    let mut findings = Vec::new();
    for flow in flows(subject.procedure) {
        let source = flow.stage.source.value;
        for (step, energy) in &flow.steps {
            if let Some(item) = &step.removes {
                fitting.retain(|(_, held)| held.trim() != item.trim());
            }
            if step.fits.is_none() && !step.allowed_on.is_empty() {
                findings.extend(step.allowed_on.first().map(of_nothing));
            }
            findings.extend(short(step));
            findings.extend(unsaid(step));
            if let Some(item) = &step.fits {
                fitting.push((step, item));
                if energy.live {
                    findings.extend(finding(step, item, source, step));
                }
            }
            if energises(step) && source != Source::None {
                let each = fitting.iter();
                findings.extend(each.filter_map(|(by, item)| finding(by, item, source, step)));
            }
        }
    }
    findings
}

/// A short across charge, a supply or a protection that is to stay in while a source is on; on the mains any short but one of a signal
/// or an output.
fn short(step: &Step) -> Option<Finding> {
    let item = step.fits.as_ref()?;
    let first = step.allowed_on.first()?;
    let mains = step.allowed_on.iter().find(|source| source.value.is_mains());
    let source = match item_of(item)? {
        ShortedItem::Power => mains.unwrap_or(first),
        ShortedItem::Anything => mains?,
        ShortedItem::Signal => return None,
    };
    Some(
        CHECK
            .error(format!("`{}` shorts what the source feeds or what protects it", item.value))
            .at(source.span)
            .related(item.span, "fitted here")
            .help("take it out before any source comes on"),
    )
}

/// A short that a step puts in and does not name: nothing would keep a source off while it is in.
fn unsaid(step: &Step) -> Option<Finding> {
    let text = &step.r#do.as_ref()?.0;
    let is_said = step.fits.is_some() || step.removes.is_some();
    (!is_said && puts_a_short_in(text)).then(|| {
        CHECK
            .error(format!("`{}` puts a short in, and no `fits` says so", step.step.value))
            .at(text.span)
            .help("name it with `fits`, and take it out in a step that `removes` it")
    })
}
fn of_nothing(source: &At<Source>) -> Finding {
    CHECK
        .error("`allowed_on` stands on a step that fits nothing")
        .at(source.span)
        .help("put it beside `fits`, or leave it out")
}

fn finding(by: &Step, item: &At<String>, source: Source, at: &Step) -> Option<Finding> {
    (!by.is_allowed_on(source)).then(|| {
        CHECK
            .error(format!("`{}` is in while the {} is on", item.value, source.words()))
            .at(at.step.span)
            .related(item.span, "fitted here")
            .help("take it out before, or say beside `fits` that it belongs there: `allowed_on: [...]`")
    })
}
