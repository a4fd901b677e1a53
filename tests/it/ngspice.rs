//! Fresh random rails and lamps through an independent circuit simulator, against the library.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]
#![expect(clippy::print_stderr, reason = "a failing seed must be seen to be repeated")]

use std::fs::{self, File};
use std::io::ErrorKind;
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use wattstep::test_points::physics::{Diode, Junction, Lamp, Load, RailSupply, Topology};

const RAILS: usize = 20;
const LAMPS: usize = 6;

/// A case takes seconds; one that is not done by then never settles.
const CASE_AT_MOST: Duration = Duration::from_secs(120);

/// A small random source (splitmix64), so that a seed means the same cases for ever.
struct Random(u64);

impl Random {
    /// The seed in `WATTSTEP_SEED`, or one from the clock; printed either way.
    fn seeded() -> Self {
        let clock = || SystemTime::now().duration_since(UNIX_EPOCH).unwrap().subsec_nanos();
        let seed = std::env::var("WATTSTEP_SEED")
            .map_or_else(|_| u64::from(clock()), |seed| seed.parse().unwrap());
        eprintln!("WATTSTEP_SEED={seed}");
        Self(seed)
    }

    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// Evenly spread over the decades between two values.
    fn between(&mut self, low: f64, high: f64) -> f64 {
        let share = f64::from((self.bits() >> 32) as u32) / f64::from(u32::MAX);
        low * (high / low).powf(share)
    }

    fn one_of<T: Copy>(&mut self, choices: &[T]) -> T {
        let at = usize::try_from(self.bits() % choices.len() as u64).unwrap();
        *choices.get(at).unwrap()
    }

    fn supply(&mut self) -> RailSupply {
        let secondary_v = self.between(8.0, 80.0);
        let winding_ohm = self.between(0.05, 3.0);
        // Up to a winding that loses a tenth of its volts to the load's mean current.
        let load_a = self.between(0.01, (0.1 * secondary_v / winding_ohm).min(4.0));
        let celsius = self.one_of(&[27.0, 27.0, 60.0]);
        RailSupply {
            topology: self.one_of(&[
                Topology::SplitRails,
                Topology::Bridge,
                Topology::CentreTap,
                Topology::HalfWave,
            ]),
            secondary_v,
            winding_ohm,
            mains_hz: self.one_of(&[50.0, 60.0]),
            diode: Diode::Junction(Junction { celsius, ..Junction::ONE_AMP_SILICON }),
            reservoir_f: self.between(470e-6, 22e-3),
            load: if self.one_of(&[true, false]) {
                Load::Current(load_a)
            } else {
                Load::Resistance(1.2 * secondary_v / load_a)
            },
        }
    }
}

/// Runs a netlist and writes what is printed into a file, which cannot fill up as a pipe can.
fn run_simulator(netlist: &Path, print: &Path) -> Result<(), String> {
    let print = File::create(print).unwrap();
    let mut command = Command::new("ngspice");
    command.arg("-n").arg("-b").arg(netlist).stdin(Stdio::null()).stderr(Stdio::null());
    let mut simulator = command.stdout(print).spawn().map_err(|error| match error.kind() {
        ErrorKind::NotFound => "ngspice is missing: install the package ngspice".to_owned(),
        _ => format!("ngspice does not start: {error}"),
    })?;
    let begun = Instant::now();
    while simulator.try_wait().unwrap().is_none() {
        if begun.elapsed() > CASE_AT_MOST {
            simulator.kill().unwrap();
            simulator.wait().unwrap();
            return Err(format!("ngspice is not done after {} s", CASE_AT_MOST.as_secs()));
        }
        sleep(Duration::from_millis(5));
    }
    Ok(())
}

/// Runs a netlist and looks its measured values up by name.
fn simulate(netlist: String) -> impl Fn(&str) -> f64 {
    let folder = tempfile::tempdir().unwrap();
    let (case, print) = (folder.path().join("case.cir"), folder.path().join("printed"));
    fs::write(&case, &netlist).unwrap();
    run_simulator(&case, &print).unwrap_or_else(|why| panic!("{why}\n{netlist}"));
    let printed = String::from_utf8_lossy(&fs::read(&print).unwrap()).into_owned();
    move |name| {
        let value = printed.lines().find_map(|line| {
            let (found, rest) = line.split_once('=')?;
            let first = rest.split_whitespace().next()?;
            (found.trim() == name).then(|| first.parse::<f64>().unwrap())
        });
        value.unwrap_or_else(|| panic!("no {name} in\n{printed}\nof\n{netlist}"))
    }
}

/// The windings and diodes of a topology, as lines of a netlist.
fn charging_lines(supply: &RailSupply) -> String {
    let crest = supply.secondary_v * 2.0_f64.sqrt();
    let (rw, f) = (supply.winding_ohm, supply.mains_hz);
    let tapped = format!(
        "V1 s1 0 dc 0 sin(0 {crest} {f})\nV2 0 s2 dc 0 sin(0 {crest} {f})\n\
         Rw1 s1 a {rw}\nRw2 s2 b {rw}\nD1 a p dx\nD2 b p dx\n"
    );
    match supply.topology {
        Topology::SplitRails => tapped + "D3 n a dx\nD4 n b dx\n",
        Topology::CentreTap => tapped,
        Topology::Bridge => format!(
            "V1 s1 b dc 0 sin(0 {crest} {f})\nRw1 s1 a {rw}\n\
             D1 a p dx\nD2 b p dx\nD3 0 a dx\nD4 0 b dx\nRg b 0 100meg\n"
        ),
        Topology::HalfWave => {
            format!("V1 s1 0 dc 0 sin(0 {crest} {f})\nRw1 s1 a {rw}\nD1 a p dx\n")
        }
    }
}

/// Reservoir and load between two nodes.
fn rail_lines(supply: &RailSupply, plus: &str, minus: &str) -> String {
    let (c, ic) = (supply.reservoir_f, 0.9 * supply.secondary_v * 2.0_f64.sqrt());
    let load = match supply.load {
        Load::Current(ampere) => {
            format!("Bl{plus} {plus} {minus} I={ampere}*min(1,max(0,v({plus},{minus})))")
        }
        Load::Resistance(ohm) => format!("Rl{plus} {plus} {minus} {ohm}"),
    };
    format!("C{plus} {plus} {minus} {c} ic={ic}\n{load}\n")
}

/// Cycles until a rail has settled: charge from the tips of the sine comes in the slower the less the load takes.
fn settling_cycles(supply: &RailSupply) -> f64 {
    let load_a = match supply.load {
        Load::Current(ampere) => ampere,
        Load::Resistance(ohm) => supply.secondary_v / ohm,
    };
    (200.0 + 6.0 * supply.mains_hz * supply.reservoir_f / load_a).ceil()
}

/// A rail's netlist, run from nine tenths of the crest; the averages are of five cycles, the ripple is of the last.
fn rail_netlist(supply: &RailSupply) -> String {
    let Diode::Junction(diode) = supply.diode else { panic!("a junction is simulated") };
    let negative = match supply.topology {
        Topology::SplitRails => rail_lines(supply, "0", "n"),
        Topology::Bridge | Topology::CentreTap | Topology::HalfWave => String::new(),
    };
    let cycle = 1.0 / supply.mains_hz;
    let end = settling_cycles(supply) * cycle;
    let (last, from, before) = (end - cycle, end - 5.0 * cycle, end - 10.0 * cycle);
    format!(
        "* rail\n.model dx D(is={} rs={} n={} cjo=26p vj=0.325 m=0.44 tt=4.3u bv=1000 ibv=10u)\n\
         {}{}{negative}.options reltol=1e-5 method=gear temp={}\n.control\ntran {step} {end} 0 {step} uic\n\
         meas tran vavg avg v(p) from={from} to={end}\nmeas tran vmax max v(p) from={last} to={end}\n\
         meas tran vmin min v(p) from={last} to={end}\nmeas tran vprev avg v(p) from={before} to={from}\n\
         meas tran iwrms rms i(v1) from={from} to={end}\nmeas tran iwmin min i(v1) from={from} to={end}\n\
         quit\n.endc\n.end\n",
        diode.saturation_a,
        diode.series_ohm,
        diode.ideality,
        charging_lines(supply),
        rail_lines(supply, "p", "0"),
        diode.celsius,
        step = cycle / 500.0,
    )
}

fn near(what: &str, got: f64, want: f64, tolerance: f64, case: &impl std::fmt::Debug) {
    let off = got / want - 1.0;
    assert!(
        off.abs() < tolerance,
        "{what} {got}, simulated {want}, {:.2} % off: {case:?}",
        100.0 * off
    );
}

#[test]
#[ignore = "needs ngspice: run by .ci/run"]
fn random_rails_agree_with_the_simulator() {
    let mut random = Random::seeded();
    for _ in 0..RAILS {
        let supply = random.supply();
        let rail = supply.steady().unwrap();
        let simulated = simulate(rail_netlist(&supply));
        let ripple = simulated("vmax") - simulated("vmin");
        let drift = simulated("vavg") - simulated("vprev");
        assert!(drift.abs() < 0.05 * ripple, "the simulator has not settled: {supply:?}");
        near("average", rail.average_v, simulated("vavg"), 0.02, &supply);
        near("peak", rail.peak_v, simulated("vmax"), 0.02, &supply);
        near("ripple", rail.ripple_v(), ripple, 0.05, &supply);
        near("winding current", rail.winding_rms_a, simulated("iwrms"), 0.05, &supply);
        near("winding peak", rail.winding_peak_a, -simulated("iwmin"), 0.05, &supply);
    }
}

/// A lamp in series with a resistance; the heat capacity only has to be right enough to settle.
fn lamp_netlist(lamp: &Lamp, mains_v: f64, mains_hz: f64, load_ohm: f64) -> String {
    let Lamp { rated_w, hot_k, radiation_exponent: n, conducted_share, .. } = *lamp;
    let (cold_k, hot_ohm) = (lamp.cold_k(), lamp.hot_ohm());
    let conducted = conducted_share * rated_w / (hot_k - cold_k);
    let radiated = (1.0 - conducted_share) * rated_w / (hot_k.powf(n) - cold_k.powf(n));
    let ohm = format!("({hot_ohm}*pow(max(v(t),150.0)/{hot_k},1.2))");
    format!(
        "* lamp\nV1 m 0 dc 0 sin(0 {crest} {mains_hz})\nBl m u I=v(m,u)/{ohm}\n\
         Bp 0 t I=v(m,u)*v(m,u)/{ohm}-{radiated:e}*(pow(max(v(t),1),{n})-{lost:e})-{conducted}*(v(t)-{cold_k})\n\
         Ct t 0 {capacity} ic={cold_k}\nRt t 0 1e9\nRL u 0 {load_ohm}\n\
         .options reltol=1e-4 method=gear\n.control\ntran 0.0001 6 0 0.0001 uic\n\
         meas tran irms rms i(v1) from=5.8 to=6\nmeas tran vunit rms v(u) from=5.8 to=6\n\
         meas tran tavg avg v(t) from=5.8 to=6\nquit\n.endc\n.end\n",
        crest = mains_v * 2.0_f64.sqrt(),
        lost = cold_k.powf(n),
        capacity = 2.5e-5 * rated_w,
    )
}

#[test]
#[ignore = "needs ngspice: run by .ci/run"]
fn random_lamps_agree_with_the_simulator() {
    let mut random = Random::seeded();
    for _ in 0..LAMPS {
        let (mains_v, mains_hz) = random.one_of(&[(230.0, 50.0), (120.0, 60.0)]);
        let lamp = Lamp::general_service(random.between(25.0, 200.0), mains_v);
        let load_ohm = lamp.hot_ohm() * random.between(0.05, 20.0);
        let point = lamp.with_resistance(mains_v, load_ohm).unwrap();
        let simulated = simulate(lamp_netlist(&lamp, mains_v, mains_hz, load_ohm));
        let case = (lamp, mains_v, load_ohm);
        near("current", point.current_a, simulated("irms"), 0.02, &case);
        near("equipment volts", point.equipment_v, simulated("vunit"), 0.02, &case);
        near("filament", point.filament_k, simulated("tavg"), 0.02, &case);
    }
}
