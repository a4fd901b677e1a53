//! A disk that takes no more: make safe, say so, exit 1, and go on later from what was written.

use std::fs;

use crate::support::bench::Bench;
use crate::support::call::{Call, Printed};

const RUN: &str = "exec \"$WATTSTEP\" run lantern.yaml --answers good.yaml";

fn shell(bench: &Bench, script: &str) -> Call {
    Call::shell(bench.folder(), script)
}

/// The failure is told first, then made safe with what the script answers, and the end says how it is.
pub(crate) fn assert_made_safe(printed: &Printed, energy: &str) {
    let out = &printed.out;
    let now = out.find("NOW: SWITCH EVERYTHING OFF").unwrap_or_else(|| panic!("{out}"));
    let why = out.find("STOPPED. THE RECORD CAN'T BE WRITTEN: cannot ").unwrap();
    let off = out.find("> off").map(|_| out.rfind("> off").unwrap()).unwrap();
    let end = out.find("Outcome: stopped: the record could not be written").unwrap();
    assert!(now < why && why < off && off < end, "{out}");
    assert!(out[end..].contains(energy), "{out}");
    // Nothing came on any more.
    assert!(!out[now..].contains("LIVE: "), "{out}");
}

/// How many bytes the record of a good run has.
fn size_of_a_good_record() -> u64 {
    let bench = Bench::new();
    bench.run("good.yaml").any_out().exit(0);
    fs::metadata(bench.record().path).unwrap().len()
}

#[test]
fn a_file_that_may_not_grow_ends_in_make_safe_wherever_it_stops() {
    let blocks = size_of_a_good_record() / 512;
    let opening = 12;
    for limit in (opening..blocks).step_by(4) {
        let bench = Bench::new();
        let script = format!("trap '' XFSZ; ulimit -f {limit}; {RUN}");
        let printed = shell(&bench, &script).any_out().exit(1);
        assert_made_safe(&printed, "Energy: proved dead");
        assert!(printed.out.contains("File too large"), "{}", printed.out);
        // The limit gone, the run is taken up from what was written.
        let state = "not closed: unfinished, or its end was cut off";
        bench.wattstep(&["verify", "--all"]).out("verified").out(state).exit(0);
        bench.wattstep(&["resume", "--answers", "good.yaml"]).any_out().exit(0);
        bench.wattstep(&["verify", "--all"]).out("closed: finished").exit(0);
    }
}

#[test]
fn when_the_script_cannot_make_safe_the_end_says_so() {
    let bench = Bench::new();
    bench.write_answers("good.yaml", &[("make-safe: {off: off}", "make-safe: {off: [off]}")]);
    let blocks = size_of_a_good_record() / 512 - 8;
    let script = format!("trap '' XFSZ; ulimit -f {blocks}; {RUN}");
    let printed = shell(&bench, &script).out("NOT CONFIRMED SAFE").exit(1);
    assert!(printed.out.contains("ENERGY STATE UNKNOWN: treat as live"), "{}", printed.out);
}

#[test]
fn a_record_that_cannot_even_be_begun_is_told() {
    let bench = Bench::new();
    let script = format!("trap '' XFSZ; ulimit -f 1; {RUN}");
    let printed = shell(&bench, &script).out("error: nothing was begun: cannot write").exit(1);
    assert!(!printed.out.contains("Pull the plug"), "{}", printed.out);
}

#[test]
#[ignore = "needs root: run by .ci/run"]
fn a_folder_that_is_read_only_is_told_before_anything_else() {
    let bench = Bench::new();
    let script = format!("mkdir records && mount -t tmpfs -o ro none records && {RUN}");
    shell(&bench, &format!("exec unshare --mount sh -c '{script}'"))
        .err("Read-only file system")
        .err("give another folder with --records DIR")
        .exit(1);
}

#[test]
#[ignore = "needs root: run by .ci/run"]
fn a_full_disk_ends_in_make_safe() {
    for kib in [12, 16, 20] {
        let bench = Bench::new();
        let mount = format!("mkdir records && mount -t tmpfs -o size={kib}k none records");
        let copy = "cp records/*.jsonl .; exit $code";
        let run = RUN.trim_start_matches("exec ");
        let script = format!("{mount} && {run}; code=$?; {copy}");
        let script = format!("exec unshare --mount sh -c '{script}'");
        let printed = shell(&bench, &script).any_out().exit(1);
        assert_made_safe(&printed, "Energy: proved dead");
        assert!(printed.out.contains("No space left on device"), "{}", printed.out);
        bench.wattstep(&["verify", "--all", "--records", "."]).out("verified").exit(0);
    }
}

/// Runs the lantern with the n-th call of this sort failing as on a broken disk.
fn with_broken(bench: &Bench, call: &str, n: usize) -> Call {
    let trace = "exec strace -f -y -o trace -e trace=fdatasync,fsync";
    let inject = format!("-e inject={call}:error=EIO:when={n}");
    shell(bench, &format!("{trace} {inject} {}", RUN.trim_start_matches("exec ")))
}

/// The syncs of the register before the record's first line: on opening it, and of the line in it. There are as many
/// after the record's last line.
const OF_THE_REGISTER: usize = 2;

/// How often a good run syncs.
fn syncs_of_a_good_run() -> usize {
    let bench = Bench::new();
    with_broken(&bench, "fdatasync", 10_000).any_out().exit(0);
    let trace = fs::read_to_string(bench.path("trace")).unwrap();
    trace.lines().filter(|line| line.contains("fdatasync(")).count()
}

#[test]
#[ignore = "needs strace: run by .ci/run"]
fn a_sync_that_fails_ends_in_make_safe_wherever_it_fails() {
    // The record's first is that of the opening, its last that of the end.
    for n in OF_THE_REGISTER + 2..syncs_of_a_good_run() - OF_THE_REGISTER {
        let bench = Bench::new();
        let printed = with_broken(&bench, "fdatasync", n).any_out().exit(1);
        assert_made_safe(&printed, "Energy: proved dead");
        assert!(printed.out.contains("cannot sync records/"), "{}", printed.out);
        let trace = fs::read_to_string(bench.path("trace")).unwrap();
        let (_, after) = trace.split_once("(INJECTED)").unwrap();
        let synced = after.lines().filter(|line| line.contains("sync("));
        for line in synced {
            let is_register = line.contains("register.jsonl");
            assert!(is_register, "the record is not written to after a failed sync:\n{trace}");
        }
        bench.wattstep(&["resume", "--answers", "good.yaml"]).any_out().exit(0);
        bench.wattstep(&["verify", "--all"]).out("closed: finished").exit(0);
    }
}

#[test]
#[ignore = "needs strace: run by .ci/run"]
fn an_end_that_cannot_be_synced_is_told() {
    let bench = Bench::new();
    with_broken(&bench, "fdatasync", syncs_of_a_good_run() - OF_THE_REGISTER)
        .out("THE END OF THE RUN CAN'T BE WRITTEN: cannot sync")
        .out("Outcome: stopped: the record could not be written")
        .out("Energy: proved dead")
        .exit(1);
}

#[test]
#[ignore = "needs strace: run by .ci/run"]
fn a_folder_or_an_opening_that_cannot_be_synced_is_told_before_anything_else() {
    let help = "give another folder with --records DIR";
    for n in [1, 2] {
        with_broken(&Bench::new(), "fsync", n).err("cannot sync").err(help).exit(1);
    }
    for n in 1..=OF_THE_REGISTER + 1 {
        let bench = Bench::new();
        let begun = with_broken(&bench, "fdatasync", n);
        let printed = begun.out("error: nothing was begun: cannot sync").exit(1);
        assert!(!printed.out.contains("Pull the plug"), "{}", printed.out);
    }
}
