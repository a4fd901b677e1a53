//! Reports as other programs read them: a browser, a reader of PDF, a spreadsheet.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::support::bench::Bench;
use crate::support::reported::amplifier_run;

/// Runs a tool; gives what it printed on both streams.
fn tool(name: &str, arguments: &[&str], folder: &Path) -> (String, String) {
    let output = Command::new(name).args(arguments).current_dir(folder).output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    assert!(output.status.success(), "{name}: {}", text(&output.stderr));
    (text(&output.stdout), text(&output.stderr))
}

/// A report of a run that was stopped: its bench has the file.
fn stopped(format: &str) -> Bench {
    let bench = Bench::new();
    bench.write_answers("hot.yaml", &[("power-seen: 31 W", "power-seen: 90 W")]);
    bench.run("hot.yaml").any_out().exit(3);
    report(&bench, format);
    bench
}

fn report(bench: &Bench, format: &str) {
    let path = bench.record().path.to_str().unwrap().to_owned();
    let arguments = ["report", &path, "--format", format, "--out", "report"];
    bench.wattstep(&arguments).any_err().exit(0);
}

/// Opens a page in a browser without a window; gives its content as the browser has it, after what it logged was looked at.
fn browse(folder: &Path, page: &str) -> String {
    let profile = folder.join("profile");
    let (net, url) = (folder.join("net.json"), format!("file://{}", folder.join(page).display()));
    let arguments = [
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--host-resolver-rules=MAP * ~NOTFOUND",
        "--enable-logging=stderr",
        &format!("--user-data-dir={}", profile.display()),
        &format!("--log-net-log={}", net.display()),
        "--dump-dom",
        &url,
    ];
    let (dom, log) = tool("chromium", &arguments, folder);
    let said: Vec<_> = log.lines().filter(|line| line.contains("CONSOLE")).collect();
    assert!(said.is_empty(), "{said:#?}");
    // What a page from a file asks for has the initiator `null`; the browser's own requests have another.
    let net = fs::read_to_string(net).unwrap();
    assert!(!net.contains("\"initiator\":\"null\""), "the page asked for something");
    dom
}

#[test]
#[ignore = "needs chromium: run by .ci/run"]
fn a_browser_finds_no_script_asks_for_nothing_and_complains_of_nothing() {
    let bench = Bench::new();
    bench.write("hostile.html", crate::report::hostile_page());
    let dom = browse(bench.folder(), "hostile.html");
    assert!(!dom.contains("<script") && !dom.contains("<img"), "{dom}");
    assert!(dom.contains("&lt;script&gt;alert(1)"), "{dom}");
    // What is looked for does show: a script in the page, and a page that asks for something.
    let page = fs::read_to_string(bench.path("hostile.html")).unwrap();
    bench.write("script.html", page.replace("</body>", "<script>alert(3)</script></body>"));
    bench.write("asks.html", "<img src=\"http://127.0.0.1:1/x.png\">");
    for other in ["script.html", "asks.html"] {
        let browsed = std::panic::catch_unwind(|| browse(bench.folder(), other));
        assert!(browsed.is_err(), "{other} went unnoticed");
    }
}

#[test]
#[ignore = "needs chromium and poppler: run by .ci/run"]
fn a_printed_page_says_what_it_is_on_every_sheet() {
    let bench = stopped("html");
    fs::rename(bench.path("report"), bench.path("report.html")).unwrap();
    let url = format!("file://{}", bench.path("report.html").display());
    let profile = format!("--user-data-dir={}", bench.path("profile").display());
    let arguments = [
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--no-first-run",
        "--disable-background-networking",
        &profile,
        "--no-pdf-header-footer",
        "--print-to-pdf=report.pdf",
        &url,
    ];
    tool("chromium", &arguments, bench.folder());
    every_sheet(bench.folder(), "report.pdf");
}

#[test]
#[ignore = "needs poppler: run by .ci/run"]
fn the_pdf_says_what_it_is_on_every_sheet() {
    let bench = stopped("pdf");
    every_sheet(bench.folder(), "report");
    let (fonts, complaints) = tool("pdffonts", &["report"], bench.folder());
    assert_eq!(complaints, "");
    for font in fonts.lines().skip(2) {
        assert!(
            font.contains("yes yes yes"),
            "not inside the file, or its text not readable: {font}"
        );
    }
}

#[test]
#[ignore = "needs poppler and zbar: run by .ci/run"]
fn the_code_on_paper_reads_back_as_the_last_hash_of_the_record() {
    let bench = stopped("pdf");
    tool("pdftoppm", &["-r", "150", "-png", "report", "sheet"], bench.folder());
    let files = fs::read_dir(bench.folder()).unwrap().map(|file| file.unwrap().path());
    let mut sheets: Vec<_> =
        files.filter(|path| path.extension().is_some_and(|name| name == "png")).collect();
    sheets.sort();
    let last = sheets.last().unwrap().to_str().unwrap();
    let (read, _) = tool("zbarimg", &["--quiet", "--raw", last], bench.folder());
    let path = bench.record().path;
    let contents = wattstep::test_points::journal::read_file::<serde_json::Value>(&path).unwrap();
    let (run, lines) = (Bench::record_name(bench.folder()), contents.entries.len());
    assert_eq!(read.trim(), format!("wattstep {run} lines {lines} head {}", contents.head));
}

/// Looks for the marks, the name of the report and its number on every sheet, and for the end on the last.
fn every_sheet(folder: &Path, file: &str) {
    let (about, _) = tool("pdfinfo", &[file], folder);
    let field = |name: &str| {
        let line = about.lines().find_map(|line| line.strip_prefix(name)).unwrap();
        line.trim_start_matches(':').trim().to_owned()
    };
    let count: usize = field("Pages").parse().unwrap();
    assert!(count >= 3, "{about}");
    assert!(field("Page size").contains("(A4)"), "{about}");
    let (text, complaints) = tool("pdftotext", &["-layout", file, "-"], folder);
    assert_eq!(complaints, "");
    let sheets: Vec<_> = text.trim_end_matches('\u{c}').split('\u{c}').collect();
    assert_eq!(sheets.len(), count);
    let run = Bench::record_name(folder);
    for (n, sheet) in sheets.iter().enumerate() {
        for words in ["SCRIPTED: answers from a file", "INCOMPLETE: not a final report", &run] {
            assert!(sheet.contains(words), "sheet {}: no {words:?}\n{sheet}", n + 1);
        }
        let number = format!("page {} of {count}", n + 1);
        assert!(sheet.contains(&number), "no {number:?}\n{sheet}");
    }
    assert!(sheets[count - 1].contains("End of "), "{}", sheets[count - 1]);
    for words in ["OUTSIDE", "90 W", "STOPPED. A reading is outside its window"] {
        assert!(text.contains(words), "no {words:?}");
    }
}

/// Reads the table back with the module of the language, and the workbook with its own parts.
const READ_BACK: &str = r#"
import csv, json, sys, zipfile
import xml.etree.ElementTree as tree
with open("report.csv", newline="", encoding="utf-8") as file:
    rows = list(csv.reader(file, strict=True))
head, *rows = rows
assert all(len(row) == len(head) for row in rows), "rows of different lengths"
for row in rows:
    for name, cell in zip(head, row):
        if cell[:1] in ("=", "+", "-", "@", "\t", "\r"):
            float(cell)
    cells = dict(zip(head, row))
    if cells["value"] not in ("over range", "no number"):
        float(cells["value"])
with open("report.jsonl", encoding="utf-8") as file:
    objects = [json.loads(line) for line in file]
assert [set(o) for o in objects] == [set(head)] * len(rows)
for row, o in zip(rows, objects):
    for name, cell in zip(head, row):
        value = o[name]
        if isinstance(value, float) or isinstance(value, int):
            assert float(cell) == value, (name, cell, value)
        else:
            assert cell.lstrip("'") == (value or "").lstrip("'"), (name, cell, value)
with zipfile.ZipFile("report.xlsx") as book:
    assert book.testzip() is None
    sheet = tree.fromstring(book.read("xl/worksheets/sheet1.xml"))
    for name in book.namelist():
        tree.fromstring(book.read(name))
space = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
table = [["".join(cell.itertext()) for cell in row] for row in sheet.iter(space + "row")]
assert table[0] == head
from datetime import datetime, timedelta
assert len(rows) == len(table) - 1
for row, other in zip(rows, table[1:]):
    for name, cell, given in zip(head, row, other):
        if name == "time":
            moment = datetime(1899, 12, 30) + timedelta(days=float(given))
            assert abs(moment - datetime.fromisoformat(cell[:19])) < timedelta(seconds=1.1), (cell, given)
        else:
            assert cell.lstrip("'") == given.lstrip("'"), (name, cell, given)
assert not list(sheet.iter(space + "f")), "a formula"
print(len(rows))
"#;

#[test]
#[ignore = "needs python3: run by .ci/run"]
fn the_tables_are_read_back_cell_for_cell() {
    let bench = Bench::new();
    amplifier_run(&bench);
    for format in ["csv", "jsonl", "xlsx"] {
        report(&bench, format);
        fs::rename(bench.path("report"), bench.path(&format!("report.{format}"))).unwrap();
    }
    let (count, _) = tool("python3", &["-c", READ_BACK], bench.folder());
    assert_eq!(count.trim().parse::<usize>().unwrap(), bench.record().facts("judged").len());
}
