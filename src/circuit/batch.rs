//! Many cases in one run of the simulator.

use std::fs;
use std::io;
use std::path::Path;

use super::answer::printed_of;
use super::process::run;
use crate::netlist::{Case, MARK, deck};

/// Runs cases one after the other in one process and gives what was printed for each; nothing for those that it did not finish.
pub(super) fn printed(folder: &Path, cases: &[&Case]) -> io::Result<Vec<Option<String>>> {
    let mut script = "* many cases\n.control\nset numdgt=12\nset width=200\n".to_owned();
    for (number, case) in cases.iter().enumerate() {
        let file = format!("case{number}.cir");
        fs::write(folder.join(&file), deck(case))?;
        // What an earlier case left behind must not answer for this one.
        script.push_str(&format!("destroy all\necho {MARK} {number} begins\nsource {file}\nop\n"));
        for vector in case.vectors() {
            script.push_str(&format!("print {vector}\n"));
        }
        script.push_str(&format!("echo {MARK} {number} ends\nremcirc\n"));
    }
    script.push_str("quit\n.endc\n.end\n");
    fs::write(folder.join("cases.cir"), script)?;
    let printed = run(folder, "cases.cir", cases.len())?;
    Ok((0..cases.len()).map(|number| printed_of(&printed, number).map(str::to_owned)).collect())
}
