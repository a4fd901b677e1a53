//! How long a thousand cases of the bundled amplifier take: every single fault, and sound sets within their tolerances, each at the operating points of all
//! its sources. Beside them the same number of operating points with one process of the simulator each, on the same cores.
//!
//! The aims: less than 20 s on two cores, and 200 MB.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a benchmark fails loudly")]
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

mod child;

use std::fs;
use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::Value;

const PROGRAM: &str = env!("CARGO_BIN_EXE_wattstep");
const NAME: &str = "amplifier-class-ab";
const CASES: usize = 1_000;

/// How many processes are timed for the comparison, on each core.
const ALONE: u32 = 300;

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let rehearse = |more: &[&str], out: &str| {
        let mut command = Command::new(PROGRAM);
        command.args(["rehearse", NAME, "--format", "json", "--out", out]).args(more);
        let (time, memory) = child::measured(command.stderr(Stdio::null()));
        (time, memory, serde_json::from_str::<Value>(&fs::read_to_string(out).unwrap()).unwrap())
    };
    let (fault_time, fault_memory, faults) = rehearse(&["--every-fault"], &file("faults.json"));
    let count = faults["coverage"]["faults"].as_array().unwrap().len();
    let sets = (CASES - count).to_string();
    let (set_time, set_memory, spread) = rehearse(&["--tolerance", &sets], &file("sets.json"));
    let points = |told: &Value| told["cases"].as_u64().unwrap();
    let all = points(&faults["coverage"]) + points(&spread["spread"]);
    let time = fault_time + set_time;
    println!(
        "{count} faults  {:.1} s, {} operating points",
        fault_time.as_secs_f64(),
        points(&faults["coverage"])
    );
    println!(
        "{sets} sets  {:.1} s, {} operating points, {} of them only to turn a control",
        set_time.as_secs_f64(),
        points(&spread["spread"]),
        spread["spread"]["tries"]
    );
    println!(
        "all {CASES}  {:.1} s, {} MB without the simulator",
        time.as_secs_f64(),
        fault_memory.max(set_memory) / 1024
    );
    let (cores, alone) = alone(folder.path());
    let due = alone.as_secs_f64() / f64::from(ALONE) * all as f64 / cores as f64;
    println!(
        "{all} operating points, a process each, on {cores} cores  {due:.1} s: {:.1} times as long",
        due / time.as_secs_f64()
    );
}

/// The cores, and how long so many processes take on each that work one operating point out, all cores busy.
fn alone(folder: &std::path::Path) -> (usize, Duration) {
    let circuit = format!("{}/procedures/{NAME}/circuit.cir", env!("CARGO_MANIFEST_DIR"));
    let circuit = fs::read_to_string(circuit).unwrap();
    let options = ".options reltol=1e-3 abstol=1e-10 gmin=1e-11 itl1=500 itl2=200";
    let script = ".control\nop\nprint v(out) i(vplus) i(vminus)\nquit\n.endc\n.end";
    fs::write(
        folder.join("alone.cir"),
        circuit
            .trim_end()
            .strip_suffix(".end")
            .map(|circuit| format!("{circuit}{options}\n{script}\n"))
            .unwrap(),
    )
    .unwrap();
    let cores = thread::available_parallelism().unwrap().get();
    let begun = Instant::now();
    thread::scope(|scope| {
        for _ in 0..cores {
            scope.spawn(|| {
                for _ in 0..ALONE {
                    let mut ngspice = Command::new("ngspice");
                    ngspice
                        .args(["-n", "-b", "alone.cir"])
                        .current_dir(folder)
                        .env("OMP_NUM_THREADS", "1");
                    let printed = ngspice.stderr(Stdio::null()).output().unwrap().stdout;
                    assert!(String::from_utf8_lossy(&printed).contains("v(out) = "));
                }
            });
        }
    });
    (cores, begun.elapsed())
}
