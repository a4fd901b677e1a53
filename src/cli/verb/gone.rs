//! A record that is not where it should be: what the register still knows of it, and what to do.

use std::path::Path;

use crate::journal::register::{Index, RecordEnd, Registered};
use crate::shell::fault::Fault;
use crate::sitting::registering;

/// What is said of a record whose file is not there.
pub(super) fn gone(path: &Path) -> Fault {
    let run = registering::run(path);
    let shown = path.display();
    match Index::read(registering::folder(path)) {
        Err(error) => Fault::failed(format!(
            "there is no record {shown}, and the register can't say whether there was one: {error}"
        )),
        Ok(index) => match index.as_ref().and_then(|index| index.run(&run)) {
            None => Fault::failed(format!("there is no record {shown}"))
                .help("`wattstep records --with-rehearsals` lists those there are"),
            Some(registered) => {
                let known = known(registered);
                let message =
                    format!("MISSING: the register knows this record and {shown} is gone; {known}");
                Fault::damaged(message).help(
                    "if the equipment may be live, switch it off first. Bring the file back from a backup, then `wattstep \
                     verify` says whether it is the one that is registered; leave the register as it is",
                )
            }
        },
    }
}

/// What the register has of it: its last registered line with its hash, or at least that of its first.
fn known(registered: &Registered) -> String {
    let open = if registered.is_open { ", and it went on from there" } else { "" };
    match (registered.ends.last(), &registered.first) {
        (Some(RecordEnd { lines, head, .. }), _) => {
            format!("registered to line {lines}, head {head}{open}")
        }
        (None, Some(first)) => format!("registered with its first line, hash {first}{open}"),
        (None, None) => "registered without a line".to_owned(),
    }
}
