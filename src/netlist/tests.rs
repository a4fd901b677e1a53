//! What is taken of a netlist, what is refused, and what a fault makes of it.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use super::{
    Case, CircuitPoint, CurvePoint, ElementKind, FAULTS, FeedCurve, FeedState, Netlist,
    PlacedFault, SourceFeed, deck,
};

const SOUND: &str = "A stage (invented)
* a comment with µ in it
.model qn NPN(is=1e-14 bf=200)
.model mn NMOS(level=1 vto=3)
.param load=1k
V1 vp 0 35 ; the rail
VN 0 Net-(C1-Pad2) 35
R1 vp c 4.7k
+ tc1=1m
Q1 c b 0 qn $ an output device
M1 vp g out out mn
R2 b 0 {2*load}
C1 out Net-(C1-Pad2) 10u
X1 out 0 divider
.subckt divider a b
Ra a m 1k
Rb m b 1k
.ends
.tran 1u 1m
.op
.end
nonsense behind the end
";

fn netlist() -> Netlist {
    Netlist::read(SOUND).unwrap()
}

fn written(netlist: &Netlist, feeds: Vec<SourceFeed>) -> String {
    deck(&Case { name: String::new(), netlist: netlist.clone(), feeds, points: Vec::new() })
}

#[test]
fn a_netlist_is_taken_as_circuit_editors_write_it() {
    let netlist = netlist();
    let names: Vec<_> = netlist.elements().map(|element| element.name.as_str()).collect();
    assert_eq!(names, ["V1", "VN", "R1", "Q1", "M1", "R2", "C1", "X1"]);
    let one = netlist.element("r1").unwrap();
    assert_eq!((one.letter, one.value()), (ElementKind::Resistor, Some(4700.0)));
    assert_eq!(one.rest, "4.7k tc1=1m");
    assert_eq!(netlist.element("m1").unwrap().nodes, ["vp", "g", "out", "out"]);
    assert_eq!(netlist.element("R2").unwrap().value(), None, "a formula is no plain number");
    assert!(netlist.has_node("Net-(C1-Pad2)") && netlist.has_node("0") && !netlist.has_node("m"));
    let text = written(&netlist, Vec::new());
    for gone in ["comment", "rail", "device", ".tran", ".op\n", "nonsense", "Net-"] {
        assert!(!text.contains(gone), "{gone} is written out:\n{text}");
    }
    assert!(text.contains("R1 vp c 4.7k tc1=1m\n"), "{text}");
}

#[test]
fn what_is_written_is_read_again_as_the_same_circuit() {
    let text = written(&netlist(), Vec::new());
    let again = Netlist::read(&text).unwrap();
    assert_eq!(written(&again, Vec::new()), text);
}

/// A sound netlist with one more line, and where that line is.
fn refused(line: &str) -> (String, String) {
    let text = SOUND.replace(".tran 1u 1m\n", &format!("{line}\n"));
    let error = Netlist::read(&text).unwrap_err();
    (error.message, text.get(error.span.start..error.span.end).unwrap_or_default().to_owned())
}

#[test]
fn a_line_that_could_reach_a_file_or_a_program_is_refused_with_its_place() {
    for (line, why) in [
        (".include /etc/passwd", "reads another file"),
        (".INC models.lib", "reads another file"),
        (".lib models.lib typ", "reads another file"),
        (".control", "gives commands to the simulator"),
        (".exec rm", "gives commands to the simulator"),
        ("shell rm", "lacks a node"),
        (".csparam a=1", "is not a line that is taken"),
        (".func f(x) {x}", "is not a line that is taken"),
        (".options savecurrents", "the option `savecurrents` is not taken"),
        (".options rawfile=out.raw", "`file` names a file"),
        (".options seed=random", "the option `seed=random` is not taken"),
        (".model s1 d_source(input_file=x)", "names a file"),
        (".model s1 filesource(a=1)", "names a file"),
        (".model s1 d_osc(a=1)", "is not a kind of model"),
        ("A1 [a] [b] s1", "no element begins as `A1` does"),
        ("V9 a 0 PWL file=x.txt", "reads a file"),
        ("R9 a 0 `id`", "is not taken in a netlist"),
        ("R9 a 0 \"x\"", "is not taken in a netlist"),
        ("R9 a\u{7} 0 1k", "control character"),
        ("* a comment \u{1b}[2J", "control character"),
        ("R\u{e9} a 0 1k", "is not taken in a netlist"),
        ("R9 a 0 1µ", "is not taken in a netlist"),
        ("R-9 a 0 1k", "is not a name for an element"),
        ("R9 a=b 0 1k", "is not a name for a node"),
        ("R9 a 0", "has no value"),
        ("R9 a", "lacks a node"),
        ("Q9 a b 0 nothing", "lacks a node or its model"),
        ("R1 a 0 1k", "stands here twice"),
        ("X9 a 0 nothing", "there is no subcircuit `nothing`"),
        ("E9 a 0 poly(1) b 0 1", "is not taken"),
        (".subckt endless a\nX1 a endless\n.ends", "stands in itself"),
        (".subckt open a\nR1 a 0 1k", "has no `.ends`"),
        (".ends", "ends nothing"),
    ] {
        let (message, place) = refused(line);
        assert!(message.contains(why), "{line}: {message}");
        assert!(
            line.contains(&place) || place.contains('X') || line.contains("endless"),
            "{line}: {place}"
        );
    }
}

#[test]
fn a_node_that_the_simulator_would_take_for_an_operator_gets_another_name() {
    let netlist = Netlist::read("title\nV1 or 0 5\nR1 or NOT 1k\nR2 not 0 1k\n").unwrap();
    let text = written(&netlist, Vec::new());
    assert!(
        text.contains("V1 node_6f72 0 5\n") && text.contains("R2 node_6e6f74 0 1k\n"),
        "{text}"
    );
    let point = CircuitPoint::read("v(or)").unwrap();
    let case = Case { name: String::new(), netlist, feeds: Vec::new(), points: vec![point] };
    assert_eq!(case.vectors().first().unwrap().0, "v(node_6f72)");
}

#[test]
fn a_comment_that_would_be_a_command_never_reaches_the_simulator() {
    let text = SOUND.replace(".op\n", "*# shell touch here\n");
    let text = written(&Netlist::read(&text).unwrap(), Vec::new());
    assert!(!text.contains("shell") && !text.contains("*#"), "{text}");
}

#[test]
fn a_netlist_is_bounded_however_it_grows() {
    let many = (0..1_000_000).fold("title\n".to_owned(), |text, n| text + &format!("R{n} a 0 1\n"));
    assert!(Netlist::read(&many).unwrap_err().message.contains("1 MiB"));
    let many = (0..6_000).fold("title\n".to_owned(), |text, n| text + &format!("R{n} a 0 1\n"));
    assert!(Netlist::read(&many).unwrap_err().message.contains("more than 5000 elements"));
    // Ten in ten in ten ... are a few lines.
    let mut nested = "title\n.subckt s0 a\nR1 a 0 1k\n.ends\n".to_owned();
    for level in 1..20 {
        nested += &format!(".subckt s{level} a\n");
        nested = (0..10).fold(nested, |text, n| text + &format!("X{n} a s{}\n", level - 1));
        nested += ".ends\n";
    }
    nested += "X1 0 s19\n";
    assert!(Netlist::read(&nested).unwrap_err().message.contains("more than 5000 elements"));
    let long = format!("title\nR1 a 0 1k{}\n", "\n+ tc1=1".repeat(1_000));
    assert!(Netlist::read(&long).unwrap_err().message.contains("more than 4000 characters"));
    let name = "n".repeat(100);
    assert!(Netlist::read(&format!("title\nR1 {name} 0 1k\n")).is_err());
}

#[test]
fn nothing_to_work_out_is_told() {
    for (text, why) in [
        ("", "no element"),
        ("R1 a 0 1k\n", "no element"),
        ("title\nR1 a b 1k\n", "no element stands on node 0"),
        ("title\n+ 1k\n", "continues no line"),
    ] {
        let message = Netlist::read(text).unwrap_err().message;
        assert!(message.contains(why), "{text:?}: {message}");
    }
}

/// What a fault changes: lines that go and lines that come.
fn changed(fault: &str) -> (Vec<String>, Vec<String>) {
    let sound = written(&netlist(), Vec::new());
    let placed: PlacedFault = fault.parse().unwrap();
    let faulty = written(&netlist().with(&placed).unwrap(), Vec::new());
    let without = |text: &str, other: &str| -> Vec<String> {
        let others: Vec<_> = other.lines().collect();
        text.lines().filter(|line| !others.contains(line)).map(str::to_owned).collect()
    };
    (without(&sound, &faulty), without(&faulty, &sound))
}

#[test]
fn a_fault_changes_its_part_and_nothing_else() {
    for (fault, gone, come) in [
        ("R1:open", vec!["R1 vp c 4.7k tc1=1m"], vec!["Rfault vp c 1e9"]),
        ("r1:short", vec![], vec!["Rfault vp c 1e-2"]),
        ("R1:value*2", vec!["R1 vp c 4.7k tc1=1m"], vec!["R1 vp c 9.4e3 tc1=1m"]),
        ("C1:leaky", vec![], vec!["Rfault out node_6e65742d2863312d7061643229 1e3"]),
        ("Q1:ce-short", vec![], vec!["Rfault c 0 5e-2"]),
        ("Q1:b-open", vec!["Q1 c b 0 qn"], vec!["Q1 c fault 0 qn", "Rfault b fault 1e9"]),
        ("Q1:leaky", vec![], vec!["Rfault c 0 1e3"]),
        // The bulk comes loose with the source it is tied to.
        (
            "M1:s-open",
            vec!["M1 vp g out out mn"],
            vec!["M1 vp g fault fault mn", "Rfault out fault 1e9"],
        ),
        ("M1:gs-short", vec![], vec!["Rfault g out 5e-2"]),
    ] {
        let (was, is) = changed(fault);
        assert_eq!(
            (was, is),
            (
                gone.iter().map(|line| (*line).to_owned()).collect(),
                come.iter().map(|line| (*line).to_owned()).collect()
            ),
            "{fault}"
        );
    }
}

#[test]
fn a_fault_that_a_part_cannot_have_is_refused() {
    for fault in [
        "R9:open",
        "Q1:open",
        "Q1:d-open",
        "M1:ce-short",
        "R1:c-open",
        "R2:value*2",
        "X1:short",
        "V1:open",
        "V1:leaky",
    ] {
        let placed: PlacedFault = fault.parse().unwrap();
        let refused = netlist().with(&placed).unwrap_err();
        assert!(refused.contains(&placed.part), "{fault}: {refused}");
    }
}

#[test]
fn every_fault_of_the_table_can_be_put_into_a_part_of_its_kind() {
    let text = "title\n.model qn NPN(is=1e-14)\n.model mn NMOS(level=1)\n.model jn NJF(vto=-2)\n.model dd D(is=1e-14)\n\
        R1 a 0 1k\nC1 a 0 1u\nL1 a 0 1m\nD1 a 0 dd\nQ1 a b 0 qn\nM1 a b 0 0 mn\nJ1 a b 0 jn\n";
    let netlist = Netlist::read(text).unwrap();
    for row in FAULTS {
        let part = netlist.elements().find(|element| element.letter == row.kind.letter()).unwrap();
        for fault in row.faults {
            let placed = PlacedFault { part: part.name.clone(), fault: *fault };
            let faulty = netlist.with(&placed).unwrap();
            assert_ne!(faulty, netlist, "{placed}");
        }
    }
}

#[test]
fn a_source_is_fed_as_a_bench_supply_does_it() {
    let feed = |feeding| vec![SourceFeed { element: "v1".to_owned(), feeding }];
    let lines = |feeding| -> Vec<String> {
        let text = written(&netlist(), feed(feeding));
        text.lines().filter(|line| line.contains("feed")).map(str::to_owned).collect()
    };
    assert_eq!(
        lines(FeedState::Limited { volts: 15.0, amps: 0.15 }),
        [
            ".model feedknee D(is=1e-9 n=0.05 rs=1m)",
            "Ifeed0 0 vp 1.5e-1",
            "Dfeed0 vp feed0 feedknee",
            "V1 feed0 0 1.5e1"
        ]
    );
    assert_eq!(
        lines(FeedState::Stiff { volts: 35.0, ohm: 0.1 }),
        ["V1 feed0 0 3.5e1", "Rfeed0 feed0 vp 1e-1"]
    );
    let point = |(amps, volts): (f64, f64)| CurvePoint { amps, volts };
    let curve = |points: &[(f64, f64)]| {
        FeedCurve::new(&points.iter().copied().map(point).collect::<Vec<_>>())
    };
    assert_eq!(
        lines(FeedState::Curve(curve(&[(0.0, 35.0), (1.0, 33.0), (20.0, 0.0)]).unwrap())),
        ["V1 feed0 0 0", "Bfeed0 vp feed0 V=pwl(-i(V1),0e0,3.5e1,1e0,3.3e1,2e1,0e0)"]
    );
    for none in [
        &[(0.0, 35.0)][..],
        &[(0.0, 35.0), (1.0, 36.0)],
        &[(1.0, 35.0), (1.0, 34.0)],
        &[(1.0, 35.0), (0.0, 34.0)],
        &[(0.0, f64::NAN), (1.0, 34.0)],
        &[(0.0, 35.0), (f64::INFINITY, 34.0)],
    ] {
        assert_eq!(curve(none), None, "{none:?}");
    }
    assert_eq!(lines(FeedState::Off), ["V1 feed0 0 0", "Rfeed0 feed0 vp 1e9"]);
    assert!(
        written(&netlist(), Vec::new()).contains("V1 vp 0 35\n"),
        "what no feed names stays as it is"
    );
}

#[test]
fn a_point_has_to_be_there() {
    let netlist = netlist();
    for text in ["v(vp)", "v(vp, c)", "v(Net-(C1-Pad2))", "i(V1)", "i(r1)", "p(Q1)", "p(M1)"] {
        assert_eq!(CircuitPoint::read(text).unwrap().is_in(&netlist), Ok(()), "{text}");
    }
    for text in ["v(nowhere)", "v(vp, nowhere)", "i(R9)", "p(C1)", "p(V1)", "i(X1)", "v(m)"] {
        assert!(CircuitPoint::read(text).unwrap().is_in(&netlist).is_err(), "{text}");
    }
    for text in ["", "vp", "v(", "v()", "v(a,)", "w(a)", "v(a) + 1"] {
        assert!(CircuitPoint::read(text).is_err(), "{text}");
    }
}

#[test]
fn what_is_delivered_is_told_from_what_the_model_of_the_supply_takes_up() {
    let point = CircuitPoint::read("i(V1)").unwrap();
    let with = |feeding| Case {
        name: String::new(),
        netlist: netlist(),
        feeds: vec![SourceFeed { element: "V1".to_owned(), feeding }],
        points: vec![point.clone()],
    };
    let value = |case: &Case, number: f64| case.value(&point, |_| Some(number)).unwrap();
    // 106 mA of the 150 mA never reach the circuit.
    assert!(
        (value(&with(FeedState::Limited { volts: 35.0, amps: 0.15 }), 0.106) - 0.044).abs() < 1e-9
    );
    assert!(
        (value(&with(FeedState::Stiff { volts: 35.0, ohm: 0.1 }), -0.044) - 0.044).abs() < 1e-9
    );
    assert!(value(&with(FeedState::Off), 1.0).abs() < 1e-12);
}
