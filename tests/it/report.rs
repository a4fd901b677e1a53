//! Reports and forms: what they say, what they never leave out, and that no text in them is an instruction.

use std::collections::BTreeSet;
use std::fs;

use serde_json::Value;
use wattstep::test_points::procedure::bundled;
use wattstep::test_points::quantity::{Quantity, Unit};
use wattstep::test_points::record::{
    Amendment, CourseItem, Fact, Happening, Mode, Origin, SampleSpan, Standing, StopReason, Trace,
};
use wattstep::test_points::report::{
    Audience, Photo, csv, html, json_lines, judged, pdf, plain, whole,
};
use wattstep::test_points::window::Bounds;

use crate::support::PROCEDURES;
use crate::support::bench::Bench;
use crate::support::reported::{Reported, amplifier_run};
use crate::support::unwrapped;

const FORMATS: [&str; 7] = ["text", "html", "pdf", "xlsx", "csv", "jsonl", "json"];

/// A text that is dangerous wherever it is taken for more than text.
const HOSTILE: &str =
    "=1+1\"'></td><script>alert(1)</script><img src=x onerror=alert(2)>{{7*7}}\u{202e}\u{1b}[31m";

fn style() -> wattstep::test_points::diagnostic::Style {
    wattstep::test_points::diagnostic::Style { width: 100, colour: false, ascii: false }
}

#[test]
fn the_same_record_gives_the_same_bytes_in_every_format() {
    let bench = Bench::new();
    bench.run("good.yaml").any_out().exit(0);
    let name = bench.record().path.file_stem().unwrap().to_str().unwrap().to_owned();
    for format in FORMATS {
        let made = ["once", "twice"].map(|out| {
            let out = format!("{out}.{format}");
            let arguments = ["report", &name, "--format", format, "--out", &out];
            bench.wattstep(&arguments).err(&format!("written: {out}")).exit(0);
            fs::read(bench.path(&out)).unwrap()
        });
        assert!(made[0].len() > 1000, "{format}");
        assert!(made[0] == made[1], "{format} differs from one time to the next");
    }
}

#[test]
fn a_report_that_is_there_already_is_not_written_over() {
    let bench = Bench::new();
    bench.run("good.yaml").any_out().exit(0);
    let name = bench.record().path.to_str().unwrap().to_owned();
    bench.write("mine.html", "kept");
    let arguments = ["report", &name, "--format", "html", "--out", "mine.html"];
    bench.wattstep(&arguments).err("mine.html exists already").exit(1);
    assert_eq!(fs::read(bench.path("mine.html")).unwrap(), b"kept");
}

#[test]
fn a_run_that_is_not_real_or_not_complete_says_so_in_every_format() {
    let mut reported = Reported::lantern();
    for (mode, word) in [(Mode::Scripted, "SCRIPTED"), (Mode::Rehearsal, "REHEARSAL")] {
        reported.run.opening.mode = mode;
        let (subject, document) = (reported.subject(), reported.document());
        assert!(document.title.starts_with("Not a final report"), "{}", document.title);
        for text in [
            html(&document),
            plain(&document, style()),
            csv(&subject),
            json_lines(&subject).unwrap(),
            whole(&subject).unwrap(),
        ] {
            assert!(text.contains(word) && text.contains("INCOMPLETE"), "{text}");
        }
        // On paper the browser puts these on every sheet: in its upper margin, and across it.
        let page = html(&document);
        assert!(page.contains(&format!("@top-center{{content:\"{word}")), "{page}");
        assert!(page.contains("<div class=\"across\""), "{page}");
        for line in csv(&subject).lines().skip(1) {
            assert!(line.contains(word), "{line}");
        }
    }
}

#[test]
fn a_complete_real_run_gives_a_final_report_and_nothing_less_does() {
    let mut reported = Reported::amplifier();
    reported.run.opening.mode = Mode::Real;
    let document = reported.document();
    assert!(document.title.starts_with("Report: "), "{}", document.title);
    assert_eq!(document.marks, Vec::<String>::new());

    let lacks = |change: &dyn Fn(&mut Reported)| {
        let mut reported = Reported::amplifier();
        reported.run.opening.mode = Mode::Real;
        change(&mut reported);
        let document = reported.document();
        assert!(document.title.starts_with("Not a final report"), "{}", document.title);
        assert!(!document.marks.is_empty());
        plain(&document, style())
    };
    let text =
        lacks(&|reported| reported.run.standing.retain(|key, _| key.owner() != "idle-after"));
    assert!(text.contains("no as-left reading of power at idle"), "{text}");
    let text = lacks(&|reported| {
        reported.run.standing.insert("idle-after".into(), Standing::Bad);
    });
    assert!(text.contains("no as-left reading of power at idle"), "{text}");
    let text = lacks(&|reported| {
        reported
            .run
            .items
            .retain(|item| fact(item).is_none_or(|f| !matches!(f, Fact::Released { .. })))
    });
    assert!(unwrapped(&text).contains("no second person released the equipment"), "{text}");
    let text = lacks(&|reported| reported.run.closing = None);
    assert!(text.contains("not closed"), "{text}");
    let text = lacks(&|reported| reported.seal.wrong = Some("line 7: it was changed".to_owned()));
    assert!(text.contains("UNVERIFIED") && text.contains("line 7: it was changed"), "{text}");
}

#[test]
fn what_was_said_afterwards_is_in_the_report_and_void_is_on_every_page() {
    let bench = Bench::new();
    bench.run("good.yaml").any_out().exit(0);
    let path = bench.record().path;
    let (record, by) = (path.to_str().unwrap(), ["--by", "Lee Second-Test"]);
    let bench_work = |text: &str| {
        let lines = text.lines().filter(|line| line.contains("done by") || line.contains("until"));
        lines.map(str::to_owned).collect::<Vec<_>>()
    };
    let before = bench.wattstep(&["report", record]).any_out().exit(0).out;
    let amend = ["amend", record, "--line", "12", "--text", "meter was on its 2 V range"];
    bench.wattstep(&amend).args(&by).out("Amended is line 12: 12 ").exit(0);
    let amended = bench.wattstep(&["report", record]).any_out().exit(0).out;
    let words = "line 12 amended by Lee Second-Test";
    assert!(!before.contains("Amended afterwards") && unwrapped(&amended).contains(words));
    // Who corrects a record later did none of the work.
    assert_eq!(bench_work(&amended), bench_work(&before));
    assert!(!amended.contains("VOID"), "{amended}");

    let void = ["void", record, "--why", "wrong serial number"];
    bench.wattstep(&void).args(&by).any_out().exit(0);
    let page = bench.wattstep(&["report", record, "--format", "html"]).any_out().exit(0).out;
    assert!(page.contains("@top-center{content:\"VOID"), "{page}");
    assert!(
        page.contains(
            "declared void by Lee Second-Test (name typed, not checked): wrong serial number"
        ),
        "{page}"
    );
    for format in ["text", "csv", "jsonl", "json"] {
        let arguments = ["report", record, "--format", format];
        bench.wattstep(&arguments).out("VOID: it counts for nothing").exit(0);
    }
}

#[test]
fn an_amended_reading_is_marked_on_the_first_page_where_it_stands_and_in_the_tables() {
    let mut reported = Reported::amplifier();
    let subject = reported.subject();
    let before = plain(&reported.document(), style());
    assert!(!before.contains("mended") && !csv(&subject).contains("AMENDED"), "{before}");
    let (line, at) = judged(&reported.run).first().map(|judged| (judged.line, judged.at)).unwrap();
    let (text, by) = ("the probe was on the other rail".to_owned(), "Kim Bench-Test".to_owned());
    reported.run.amendments.push(Amendment { line, text, by, at });
    let after = unwrapped(&plain(&reported.document(), style()));
    assert!(after.contains("Amended afterwards: once, see"), "{after}");
    assert!(after.contains("AMENDED afterwards by Kim Bench-Test (name typed, not checked): the"));
    assert!(html(&reported.document()).contains("AMENDED, see below"));
    let table = csv(&reported.subject());
    let marked: Vec<_> = table.lines().map(|line| line.contains("AMENDED afterwards")).collect();
    assert_eq!(marked.iter().filter(|is_marked| **is_marked).count(), 1, "{table}");
    assert!(marked[1], "the first reading below the head");
}

#[test]
fn a_record_that_was_cut_gives_a_report_that_says_so() {
    let bench = Bench::new();
    bench.run("good.yaml").any_out().exit(0);
    let path = bench.record().path;
    let text = fs::read_to_string(&path).unwrap();
    let lines: Vec<_> = text.lines().collect();
    fs::write(&path, lines[..lines.len() - 2].join("\n") + "\n").unwrap();
    let path = path.to_str().unwrap();
    bench.wattstep(&["report", path]).out("UNVERIFIED").err("CUT").exit(7);
}

fn fact(item: &CourseItem) -> Option<&Fact> {
    match &item.what {
        Happening::Fact(fact) => Some(fact),
        _ => None,
    }
}

#[test]
fn a_record_that_does_not_verify_gives_a_report_that_says_so_and_its_exit_code() {
    let bench = Bench::new();
    bench.run("good.yaml").any_out().exit(0);
    let path = bench.record().path;
    let text = fs::read_to_string(&path).unwrap();
    // Without its last conclusion the end of the run does not follow; the hash of the line is made again.
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let last = lines.pop().unwrap();
    let bare = last.split(",\"sha256\"").next().unwrap().replace("\"safe\":true", "\"safe\":false");
    let bare = format!("{bare}}}");
    let hash = wattstep::test_points::journal::sha256_hex(bare.as_bytes());
    lines.push(format!("{},\"sha256\":\"{hash}\"}}", bare.strip_suffix('}').unwrap()));
    fs::write(&path, lines.join("\n") + "\n").unwrap();
    let register = path.with_file_name("register.jsonl");
    let path = path.to_str().unwrap();
    bench.wattstep(&["report", path]).out("UNVERIFIED").err("REWRITTEN").exit(7);
    // Without a register the conclusions alone tell.
    fs::remove_file(register).unwrap();
    let printed =
        bench.wattstep(&["report", path]).out("UNVERIFIED").err("does not follow").exit(7);
    assert!(printed.out.contains("DOES NOT VERIFY"), "{}", printed.out);
}

/// What a report has to hold (ISO/IEC 17025:2017 7.8.2.1, by its letters) and the words that stand for it here.
const CHECKLIST: [(&str, &[&str]); 14] = [
    ("a: a title", &["<h1>Report: First power after an output-stage repair"]),
    (
        "b: name and address of the laboratory",
        &["workshop, place", "Quillmere Street 4 (invented)"],
    ),
    ("c: where it was done", &["workshop, place"]),
    (
        "d: identification on every page, and an end",
        &["@bottom-left{content:", "counter(pages)", "End of "],
    ),
    ("e: the customer", &["<dt>customer</dt>", "A. Owner (invented)"]),
    ("f: the method", &["amplifier-class-ab, revision ", "SHA-256 "]),
    (
        "g: the item and its condition",
        &["Tallow &amp; Pike Lantern 60", "QS-0417", "<dt>its state</dt>"],
    ),
    ("h: when it was received", &["<dt>received</dt>"]),
    ("i: when it was done", &["<dt>done from</dt>", "<dt>until</dt>"]),
    ("j: when it was issued", &["<dt>issued on, authorised by</dt>"]),
    ("k: sampling", &["<dt>sampling</dt>"]),
    (
        "l: for this item only",
        &["The results apply to this piece of equipment at the times stated"],
    ),
    ("m: results with their units", &["19.30 W ± 0.47 W"]),
    ("n: deviations from the method", &["Stops, concessions and deviations from the procedure"]),
];

#[test]
fn a_report_holds_what_the_standard_for_reports_asks() {
    let mut reported = Reported::amplifier();
    reported.run.opening.mode = Mode::Real;
    reported.issuer.shop = Some("Repair bench, Quillmere Street 4 (invented)".to_owned());
    reported.issuer.customer = Some("A. Owner (invented)".to_owned());
    let page = html(&reported.document());
    for (item, words) in CHECKLIST {
        for word in words {
            assert!(page.contains(word), "{item}: no {word:?}");
        }
    }
    // o: who authorised it. 7.8.6.2: to which results the statement applies, which limits, which rule.
    for word in ["authorised by", "simple acceptance", "<dt>decision rule</dt>", "inside"] {
        assert!(page.contains(word), "no {word:?}");
    }
    for word in ["QS-M-03 (invented)", "2099-03-31", "calibration due", "k = 1.65, 95 %"] {
        assert!(page.contains(word), "instruments: no {word:?}");
    }
    for caution in ["Follow your local codes", "within your licence and competence", "in reach"] {
        assert!(page.contains(caution), "no {caution:?}");
    }
}

#[test]
fn every_reading_of_the_run_is_in_the_report_with_what_belongs_to_it() {
    let reported = Reported::amplifier();
    let page = html(&reported.document());
    let mut count = 0;
    for item in &reported.run.items {
        let Some(Fact::Judged { key, text, bounds, unit, .. }) = fact(item) else { continue };
        for word in [key.as_str(), text.trim(), &bounds.describe(Some(unit))] {
            assert!(page.contains(word), "{key}: no {word:?}");
        }
        count += 1;
    }
    assert!(count > 200);
    assert_eq!(csv(&reported.subject()).matches("\r\n").count(), count + 1);
    assert_eq!(json_lines(&reported.subject()).unwrap().lines().count(), count);
}

#[test]
fn as_found_stands_beside_as_left() {
    let page = plain(&Reported::amplifier().document(), style());
    let section = page.split("As found and as left").nth(1).unwrap();
    let section = unwrapped(section.split("Found, repaired").next().unwrap());
    let row = section.split("DC at the output: left").nth(1).unwrap();
    let (found, left) = (row.find("as found: 7.00 mV"), row.find("as left: 6.00 mV ± 0.31 mV"));
    assert!(found.unwrap() < left.unwrap(), "{row}");
    for part in ["chassis", "heatsink", "rear-panel"] {
        assert!(section.contains(&format!("protective earth: {part}")), "{section}");
    }
}

#[test]
fn what_was_not_tested_and_what_stopped_the_run_is_named() {
    let bench = Bench::new();
    bench.write_answers("hot.yaml", &[("power-seen: 31 W", "power-seen: 90 W")]);
    bench.run("hot.yaml").any_out().exit(3);
    let reported = Reported::read(&bench.record().path);
    let stops = reported.run.items.iter().filter_map(fact);
    assert!(
        stops.into_iter().any(|f| matches!(f, Fact::Stopped { reason: StopReason::Outside, .. }))
    );
    let text = unwrapped(&plain(&reported.document(), style()));
    assert!(text.contains("1 OUTSIDE"), "{text}");
    let first = text.find("The run: stopped on a reading").unwrap();
    let cause = "Power on the power meter: 90 W, OUTSIDE, too high; the window is";
    assert!(text[first..].contains(cause), "{text}");
    assert!(first < text.find("NOT A FINAL REPORT").unwrap(), "{text}");
    assert!(text.contains("STOPPED. A reading is outside its window; at power-seen"), "{text}");
    assert!(text.contains("the run was stopped on a reading"), "{text}");
    let early = Reported::lantern();
    let mut early = early;
    early.run.standing.remove("earth-ohms");
    let text = unwrapped(&plain(&early.document(), style()));
    assert!(text.contains("Nothing connected: Earth pin to the bare case"), "{text}");
    assert!(!text.contains("Nothing connected: earth-ohms"), "{text}");
}

#[test]
fn what_was_sampled_is_drawn() {
    let mut reported = Reported::lantern();
    let span = |from_ms, high| SampleSpan {
        from_ms,
        until_ms: from_ms + 900,
        count: 10,
        mean: 0.04,
        low: 0.03,
        low_ms: from_ms,
        high,
        high_ms: from_ms + 5,
        last: 0.04,
    };
    let trace = Trace {
        point: "lantern.current".to_owned(),
        unit: Unit::parse("mA").unwrap(),
        spans: vec![span(0, 0.05), span(1000, 0.061)],
    };
    let limit = Bounds::at_most(Quantity::parse("60 mA").unwrap());
    let watched = Fact::Watched {
        key: "feed-current".into(),
        point: trace.point.clone(),
        unit: trace.unit.clone(),
        count: 20,
        low: 0.03,
        high: 0.061,
        mean: 0.04,
        last: 0.04,
        origin: Origin::Instrument,
        bounds: Some(Box::new(limit)),
    };
    let (at, by) = (reported.run.opened_at, "Kim Example-Tech (invented)".to_owned());
    for what in [
        Happening::Fact(Box::new(watched)),
        Happening::Sampled { key: "feed-current".into(), traces: vec![trace] },
        Happening::Fact(Box::new(Fact::LeftOut("feed-on".into()))),
    ] {
        reported.run.items.push(CourseItem { line: 1, at, by: by.clone(), what });
    }
    let page = html(&reported.document());
    let words = "lantern.current over 1.9 s, from 30.0 mA to 61.0 mA";
    assert!(page.contains(&format!("aria-label=\"{words}\"")), "{page}");
    let caption =
        format!("Current from the bench supply (feed-current): {words}; window at most 60 mA");
    assert!(page.contains(&caption), "{page}");
    let left_out = "left out, as the connected supply does it: Bench supply on (feed-on)";
    assert!(page.contains(left_out), "{page}");
    assert!(pdf(&reported.document()).is_ok());
}

#[test]
fn a_photo_is_shown_and_everything_else_is_listed_with_its_hash() {
    let mut reported = Reported::lantern();
    let (at, by) = (reported.run.opened_at, "Kim Example-Tech (invented)".to_owned());
    for (name, sha256) in [("board.png", "aa11"), ("drawing.svg", "bb22")] {
        let (name, sha256) = (name.to_owned(), sha256.to_owned());
        let what = Happening::Attached { name, sha256, bytes: 20 };
        reported.run.items.push(CourseItem { line: 1, at, by: by.clone(), what });
    }
    let png = Photo::of(b"\x89PNG\r\n\x1a\n0123456789ab".to_vec()).unwrap();
    reported.photos.insert("aa11".to_owned(), png);
    let page = html(&reported.document());
    assert_eq!(page.matches("<img src=\"data:image/png;base64,").count(), 1);
    assert!(page.contains("not shown here: drawing.svg, 20 bytes, SHA-256 bb22"), "{page}");
}

/// The lantern with a hostile text wherever a person can write one.
fn hostile() -> Reported {
    let mut reported = Reported::lantern();
    let text = || HOSTILE.to_owned();
    let procedure = &mut reported.procedure;
    procedure.title.value = text();
    procedure.procedure.value = text();
    for stage in &mut procedure.stages {
        stage.title.value = text();
    }
    reported.run.opening.equipment_name = Some(text());
    reported.run.opening.procedure.name = text();
    reported.run.opening.run = text();
    reported.issuer.shop = Some(text());
    reported.issuer.customer = Some(text());
    reported.seal.wrong = Some(text());
    for item in &mut reported.run.items {
        item.by = text();
        let Happening::Fact(fact) = &mut item.what else { continue };
        match fact.as_mut() {
            Fact::Judged { key, what, text: given, basis, decision, .. } => {
                (*key, *what, *given, *basis) = (text().into(), text(), text(), Some(text()));
                decision.meter = Some(text());
            }
            Fact::StageOpened { title, .. } => *title = text(),
            Fact::Seen { what, text: given, .. } => (*what, *given) = (text(), text()),
            Fact::Written { what, text: given, .. } => (*what, *given) = (text(), text()),
            Fact::Done { what, .. } => *what = text(),
            Fact::Released { by, role, .. } => (*by, *role) = (text(), text()),
            _ => {}
        }
    }
    let (at, by) = (reported.run.opened_at, text());
    let what = Happening::Attached { name: text(), sha256: text(), bytes: 1 };
    reported.run.items.push(CourseItem { line: 1, at, by: by.clone(), what });
    reported.run.items.push(CourseItem { line: 1, at, by, what: Happening::Noted(text()) });
    reported
}

/// The page with the hostile text, for the tests that open it in a browser.
pub(crate) fn hostile_page() -> String {
    html(&hostile().document())
}

#[test]
fn no_text_becomes_markup_a_formula_or_an_order_to_a_terminal() {
    let reported = hostile();
    let (subject, document) = (reported.subject(), reported.document());
    let page = html(&document);
    assert!(page.matches("&lt;script&gt;alert(1)").count() > 20, "{page}");
    let tags: BTreeSet<&str> =
        page.split('<').skip(1).map(|rest| rest.split([' ', '>']).next().unwrap()).collect();
    for tag in ["script", "img", "/script", "iframe", "link", "object"] {
        assert!(!tags.contains(tag), "{tag}");
    }
    assert!(page.contains("default-src &#39;none&#39;"), "{page}");
    assert_eq!(page.matches("</style>").count(), 1);
    assert_eq!(page.matches("http").count(), page.matches("http-equiv").count());
    let table = csv(&subject);
    assert!(table.contains("\"'=1+1\"\"'>"), "{table}");
    assert!(!table.contains(",=") && !table.contains(",\"="), "{table}");
    for text in [
        page,
        table,
        plain(&document, style()),
        json_lines(&subject).unwrap(),
        whole(&subject).unwrap(),
    ] {
        assert!(!text.contains(['\u{1b}', '\u{202e}']));
    }
    assert!(pdf(&document).is_ok());
}

#[test]
fn a_text_of_any_length_finds_room_on_paper() {
    let mut reported = Reported::lantern();
    let long = ["word ".repeat(30_000), "x".repeat(20_000)];
    for text in long {
        let (at, by) = (reported.run.opened_at, "Kim Example-Tech (invented)".to_owned());
        reported.run.items.push(CourseItem {
            line: 1,
            at,
            by,
            what: Happening::Noted(text.clone()),
        });
        for item in &mut reported.run.items {
            if let Happening::Fact(fact) = &mut item.what
                && let Fact::Judged { what, .. } = fact.as_mut()
            {
                text.clone_into(what);
                break;
            }
        }
        reported.issuer.shop = Some(text);
    }
    assert!(pdf(&reported.document()).unwrap().len() > 50_000);
}

#[test]
fn the_json_is_the_whole_run_with_how_far_it_can_be_relied_on() {
    let bench = Bench::new();
    amplifier_run(&bench);
    let path = bench.record().path.to_str().unwrap().to_owned();
    let out = bench.wattstep(&["report", &path, "--format", "json"]).any_out().exit(0).out;
    let report: Value = serde_json::from_str(&out).unwrap();
    let shown = bench.wattstep(&["show", &path, "--format", "json"]).any_out().exit(0).out;
    let mut shown: Value = serde_json::from_str(&shown).unwrap();
    for (member, empty) in [("wrong", Value::Null), ("register", Value::Array(Vec::new()))] {
        assert_eq!(shown.as_object_mut().unwrap().remove(member), Some(empty), "{member}");
    }
    assert_eq!(report["run"], shown);
    assert_eq!(report["record"]["lines"], bench.record().entries.len());
    assert_eq!(report["marks"][0], "SCRIPTED: answers from a file, not a real run");
    assert_eq!(report["lacks"], serde_json::json!([]));
    // The members of the schema, no more and no fewer.
    let schema =
        fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/schema/report.schema.json"));
    let schema: Value = serde_json::from_str(&schema.unwrap()).unwrap();
    let names =
        |object: &Value| object.as_object().unwrap().keys().cloned().collect::<BTreeSet<_>>();
    assert_eq!(names(&report), names(&schema["properties"]));
}

#[test]
fn a_form_has_the_windows_of_this_equipment_and_formulas_for_what_is_still_to_be_read() {
    let bench = Bench::new();
    let equipment = format!("{PROCEDURES}/amplifier-class-ab/equipment.yaml");
    let meters = format!("{PROCEDURES}/quillmere.bench.yaml");
    let arguments = ["form", "amplifier-class-ab", "--equipment", &equipment, "--bench", &meters];
    let form = unwrapped(&bench.wattstep(&arguments).any_out().exit(0).out);
    // primary: 8.5 ohm, near it within 25 %.
    assert!(form.contains("window: 6.375 ohm to 10.62 ohm, expected 8.5 ohm"), "{form}");
    assert!(form.contains("abs(low_plus - low_minus) / max(low_plus, low_minus)"), "{form}");
    assert!(form.contains("serial QS-M-03 (invented), calibration due 2099-03-31"), "{form}");
    for part in ["q11", "q12", "q21", "q22", "chassis", "rear-panel"] {
        assert!(form.contains(&format!(" {part}; ")), "{part}: {form}");
    }
    for notice in ["DANGER", "WARNING", "CAUTION"] {
        assert!(form.contains(notice), "{notice}");
    }
    let cautions: Vec<_> = form.match_indices("Follow your local codes").collect();
    let (facts, mains) =
        (form.find("Facts about").unwrap(), form.find("Stage: First mains").unwrap());
    assert!(cautions[0].0 < facts, "cautions stand first");
    assert!(cautions.iter().any(|(at, _)| *at < mains && mains - at < 300), "and before the mains");
    let blank = unwrapped(&bench.wattstep(&["form", "amplifier-class-ab"]).any_out().exit(0).out);
    assert!(blank.contains("window: primary, within 25 %"), "{blank}");
}

#[test]
fn every_bundled_procedure_has_a_form_of_all_its_steps() {
    let bench = Bench::new();
    for name in bundled::NAMES.iter().copied() {
        let page = bench.wattstep(&["form", name, "--format", "html"]).any_out().exit(0).out;
        let procedure =
            wattstep::test_points::procedure::read_procedure(bundled::text(name).unwrap()).unwrap();
        for (_, step) in procedure.steps() {
            assert!(page.contains(&format!(">{}</p>", *step.step)), "{name}: {}", *step.step);
        }
    }
}

#[test]
fn a_form_waits_for_stored_charge_as_the_plan_does_and_has_a_place_for_the_supervisor() {
    let bench = Bench::new();
    let printed = |arguments: &[&str]| unwrapped(&bench.wattstep(arguments).any_out().exit(0).out);
    let equipment = format!("{PROCEDURES}/regulator-board/equipment.yaml");
    let made = |verb: &str| printed(&[verb, "regulator-board", "--equipment", &equipment]);
    let form = made("form");
    assert!(made("plan").contains("27.5 s"));
    let (before, proof) = form.split_once("wait 27.5 s for the stored charge").unwrap();
    assert!(!before.contains("PROVE DEAD") && proof.contains("PROVE DEAD"), "{form}");
    assert!(before.contains("supervised by"), "{form}");
    // Of its three proofs the second alone comes while one stands: the first is the first, and a source was on before the third.
    let rests = "leave the next lines of this step out";
    assert_eq!(form.matches(rests).count(), 1, "{form}");
    let (cold, fed) = form.split_once("Stage: On the bench supply").unwrap();
    assert!(!cold.contains(rests) && fed.contains(rests), "{form}");
    let technician = printed(&["form", "amplifier-class-ab"]);
    assert!(!technician.contains("supervised by"), "{technician}");
    assert!(technician.contains("wait at least 30.0 s for the stored charge"), "{technician}");
}

#[test]
fn no_form_is_made_of_a_procedure_with_errors() {
    let bench = Bench::new();
    let lantern = crate::support::bench::LANTERN.replace("at_most: 0.5 ohm", "at_most: 0.5 V");
    bench.write("wrong.yaml", lantern);
    bench.wattstep(&["form", "wrong.yaml"]).any_err().exit(6);
}

#[test]
fn the_page_lists_the_columns_as_they_are() {
    let page = include_str!("../../docs/report.md");
    let listed = page.split("The columns: ").nth(1).unwrap().split(".\n").next().unwrap();
    let listed: Vec<_> = listed.split('`').skip(1).step_by(2).collect();
    let table = csv(&Reported::lantern().subject());
    assert_eq!(listed, table.lines().next().unwrap().split(',').collect::<Vec<_>>());
}

/// The text of what a customer is handed.
fn for_customer(reported: &Reported) -> String {
    unwrapped(&plain(&reported.document_for(Audience::Customer), style()))
}

#[test]
fn a_customer_gets_what_came_in_what_was_done_and_every_safety_test() {
    let reported = Reported::amplifier();
    let page = for_customer(&reported);
    for words in [
        "QS-0417",
        "As found: owner's story",
        "Replaced: both output pairs",
        "DC at the output: left as found: 7.00 mV ± 0.32 mV as left: 6.00 mV ± 0.31 mV limits: -50 mV to 50 mV",
        "Protective-conductor current, the larger of both ways round of the plug",
        "speaker-terminals: Touch current of this part",
        "its DC trip level is not tested",
        "Follow your local codes",
        &reported.seal.head,
    ] {
        assert!(page.contains(words), "no {words:?} in {page}");
    }
    let told = page.split("Besides the safety tests below, ").nth(1).unwrap();
    let more: usize = told.split(' ').next().unwrap().parse().unwrap();
    assert!(more > 100, "{more}");
    assert!(!page.contains("basis:"), "limits are told without where they come from");
}

#[test]
fn nothing_that_is_wrong_is_kept_from_a_customer() {
    let bench = Bench::new();
    bench.write_answers("hot.yaml", &[("power-seen: 31 W", "power-seen: 90 W")]);
    bench.run("hot.yaml").any_out().exit(3);
    let mut reported = Reported::read(&bench.record().path);
    let page = for_customer(&reported);
    assert!(page.contains("NOT A FINAL REPORT"), "{page}");
    let outside = page.split("Not inside its limits").nth(1).unwrap();
    assert!(outside.contains("Power on the power meter"), "{outside}");
    assert!(outside.contains("90 W"), "{outside}");
    assert!(page.contains("Steps of the procedure that have no result"), "{page}");
    reported.seal.wrong = Some("line 7 was changed".to_owned());
    reported.seal.caveats = vec!["its end was first seen late".to_owned()];
    let page = for_customer(&reported);
    for words in ["DOES NOT VERIFY: line 7", "its end was first seen late"] {
        assert!(page.contains(words), "{page}");
    }
}

#[test]
fn a_technician_gets_the_stop_and_what_was_read_again() {
    let bench = Bench::new();
    bench.write_answers("hot.yaml", &[("power-seen: 31 W", "power-seen: 90 W")]);
    bench.run("hot.yaml").any_out().exit(3);
    let reported = Reported::read(&bench.record().path);
    let page = unwrapped(&plain(&reported.document_for(Audience::Technician), style()));
    assert!(page.contains("STOPPED. A reading is outside its window; at power-seen"), "{page}");
    let again = page.split("Read again, or outside").nth(1).unwrap();
    assert!(again.contains("90 W"), "{again}");
    assert!(!again.contains("Lead end to end"), "what was inside at once is no repeat: {again}");
}

#[test]
fn two_pages_are_enough_for_a_customer_and_data_is_never_cut() {
    let bench = Bench::new();
    amplifier_run(&bench);
    let path = bench.record().path;
    let name = path.to_str().unwrap();
    let page = ["report", name, "--for", "customer", "--format", "pdf", "--out", "short.pdf"];
    bench.wattstep(&page).any_err().exit(0);
    let bytes = fs::read(bench.path("short.pdf")).unwrap();
    let text = String::from_utf8_lossy(&bytes);
    let pages = text.split("/Count ").nth(1).unwrap();
    let pages: usize = pages.split(|c: char| !c.is_ascii_digit()).next().unwrap().parse().unwrap();
    assert!(pages <= 2, "{pages} pages");
    let data = ["report", name, "--for", "customer", "--format", "csv"];
    bench.wattstep(&data).err("tables and JSON have all of it").exit(2);
}
