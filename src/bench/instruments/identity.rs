//! Who answers at an address.

use super::device::{Device, no_answer};
use super::error::DriverError;
use crate::diagnostic::clean;

/// Asks the instrument who it is. One that is another than expected is told nothing more: off went to its outputs before.
///
/// # Errors
/// No answer, an empty one, or one without the text that the bench file expects in it.
pub(super) fn identify(device: &mut Device, expected: Option<&str>) -> Result<String, DriverError> {
    let question = device.commands().identify();
    let reply = device.ask(&question)?;
    if reply.trim().is_empty() {
        return Err(no_answer(&question, &reply, "a name"));
    }
    let shown = clean(reply.trim());
    if let Some(expected) = expected.filter(|expected| !reply.contains(*expected)) {
        return Err(DriverError::Identity { reply: shown, expected: clean(expected) });
    }
    Ok(shown)
}

/// Has the instrument forget its old errors, once its outputs are off.
///
/// # Errors
/// An instrument that answers otherwise, or still has an error.
pub(super) fn forget_errors(device: &mut Device) -> Result<(), DriverError> {
    let clear = device.commands().clear();
    device.tell(&clear)?;
    device.expect_no_error(&clear)
}
