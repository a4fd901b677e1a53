//! From text to a netlist: which lines are taken, which are passed over, and which are refused.

use std::collections::BTreeSet;

use super::circuit::{Netlist, Subcircuit, is_ground};
use super::element::{Element, Models, is_plain, refuse_files};
use super::error::NetlistError;
use super::line::{NetlistLine, lines};
use super::number::number;
use super::{expansion, limits};

/// Lines that ask for an analysis or for something to be shown: the program asks for what it needs itself.
const PASSED_OVER: [&str; 22] = [
    ".ac",
    ".backanno",
    ".dc",
    ".disto",
    ".four",
    ".ic",
    ".meas",
    ".measure",
    ".noise",
    ".op",
    ".plot",
    ".print",
    ".probe",
    ".pz",
    ".save",
    ".sens",
    ".step",
    ".tf",
    ".title",
    ".tran",
    ".width",
    ".fourier",
];

/// Settings of the solver that a netlist may change: numbers, all of them.
const OPTIONS: [&str; 14] = [
    "abstol", "chgtol", "gmin", "itl1", "itl2", "itl4", "pivrel", "pivtol", "reltol", "temp",
    "tnom", "trtol", "vntol", "method",
];

/// Kinds of model that are built in and read no file.
const MODELS: [&str; 14] =
    ["r", "c", "l", "d", "npn", "pnp", "nmos", "pmos", "njf", "pjf", "sw", "csw", "res", "vdmos"];

impl Netlist {
    /// Reads a netlist.
    ///
    /// # Errors
    /// The first line that is not taken, and why.
    pub fn read(text: &str) -> Result<Self, NetlistError> {
        read(text)
    }
}

fn read(text: &str) -> Result<Netlist, NetlistError> {
    let lines = lines(text)?;
    let models = models(&lines);
    let mut netlist = Netlist::default();
    let mut open: Option<(Subcircuit, &NetlistLine)> = None;
    for line in &lines {
        let word = first(line);
        match word.as_str() {
            ".subckt" => {
                if let Some((_, begun)) = &open {
                    let message = "a subcircuit inside another is not taken: end this one first";
                    return Err(NetlistError::new(begun.span, message));
                }
                open = Some((begin(line)?, line));
            }
            ".ends" => {
                let done = open.take().ok_or_else(|| {
                    NetlistError::new(line.span, "`.ends` ends nothing: no `.subckt` is open")
                })?;
                netlist.subcircuits.push(done.0);
            }
            word if word.starts_with('.') => {
                let card = card(word, line)?;
                netlist.has_options |= word.starts_with(".option");
                let cards = open
                    .as_mut()
                    .map_or(&mut netlist.cards, |(subcircuit, _)| &mut subcircuit.cards);
                cards.extend(card);
            }
            _ => {
                let element = Element::read(line, &models)?;
                let into = open
                    .as_mut()
                    .map_or(&mut netlist.elements, |(subcircuit, _)| &mut subcircuit.elements);
                into.push(element);
            }
        }
    }
    if let Some((_, begun)) = open {
        return Err(NetlistError::new(begun.span, "this subcircuit has no `.ends`"));
    }
    sound(&netlist)?;
    expansion::within(&netlist)?;
    Ok(netlist)
}

fn first(line: &NetlistLine) -> String {
    line.text.split_whitespace().next().unwrap_or_default().to_ascii_lowercase()
}

/// The names of all models, wherever they stand.
fn models(lines: &[NetlistLine]) -> Models {
    let models = lines.iter().filter(|line| first(line) == ".model");
    let names = models.filter_map(|line| line.text.split_whitespace().nth(1));
    names.map(str::to_ascii_lowercase).collect()
}

fn begin(line: &NetlistLine) -> Result<Subcircuit, NetlistError> {
    let wrong = |message: &str| NetlistError::new(line.span, message);
    let words: Vec<_> = line.text.split_whitespace().skip(1).collect();
    let (name, nodes) = words.split_first().ok_or_else(|| wrong("this subcircuit has no name"))?;
    if !is_plain(name) || nodes.is_empty() || !nodes.iter().all(|node| is_plain(node)) {
        return Err(wrong(
            "a subcircuit has a name and nodes of letters, digits and `_`, and no parameters",
        ));
    }
    let head = format!(".subckt {}", words.join(" "));
    Ok(Subcircuit { name: name.to_ascii_lowercase(), head, ..Subcircuit::default() })
}

/// A line that begins with a dot: as it is written out, or nothing where it is passed over.
fn card(word: &str, line: &NetlistLine) -> Result<Option<String>, NetlistError> {
    let refused = |message: String| NetlistError::new(line.span, message);
    if PASSED_OVER.contains(&word) {
        return Ok(None);
    }
    let rest = line.text.split_whitespace().skip(1).collect::<Vec<_>>().join(" ");
    refuse_files(&rest).map_err(|file_word| {
        refused(format!("`{file_word}` names a file, which no netlist may do here"))
    })?;
    match word {
        ".model" => {
            let kind = rest.split_whitespace().nth(1).unwrap_or_default().to_ascii_lowercase();
            let kind = kind.split('(').next().unwrap_or_default();
            if !MODELS.contains(&kind) {
                return Err(refused(format!("`{kind}` is not a kind of model that is taken"))
                    .help(format!("one of these is meant: {}", MODELS.join(", "))));
            }
        }
        ".param" | ".nodeset" | ".global" => {}
        ".temp" if number(&rest).is_some() => {}
        ".option" | ".options" => options(&rest).map_err(|option| {
            refused(format!("the option `{option}` is not taken"))
                .help(format!("taken are {}, each with its number", OPTIONS.join(", ")))
        })?,
        ".include" | ".inc" | ".lib" => {
            return Err(refused(format!(
                "`{word}` reads another file, which no netlist may do here"
            ))
            .help("copy the `.model` and `.subckt` lines that are needed into this netlist"));
        }
        ".control" | ".endc" | ".exec" => {
            return Err(refused(format!(
                "`{word}` gives commands to the simulator, which no netlist may do here"
            ))
            .help("leave the block out: the program asks for what it needs itself"));
        }
        _ => {
            return Err(refused(format!("`{}` is not a line that is taken", short(word)))
                .help("taken are .model, .subckt, .ends, .param, .nodeset, .global, .temp, .options and .end"));
        }
    }
    Ok(Some(format!("{word} {rest}")))
}

fn short(word: &str) -> String {
    word.chars().take(limits::NAME_MAX).collect()
}

fn options(rest: &str) -> Result<(), String> {
    for option in rest.split_whitespace() {
        let (name, value) = option.split_once('=').unwrap_or((option, ""));
        let is_known = OPTIONS.contains(&name.to_ascii_lowercase().as_str());
        let is_method = ["gear", "trap"].contains(&value);
        if !is_known || (number(value).is_none() && !is_method) {
            return Err(short(option));
        }
    }
    Ok(())
}

/// What holds between lines: no name twice, and every subcircuit that is used is there.
fn sound(netlist: &Netlist) -> Result<(), NetlistError> {
    if netlist.elements.is_empty() {
        let span = crate::diagnostic::Span::default();
        return Err(NetlistError::new(span, "there is no element in this netlist")
            .help("the first line is a title and counts for nothing"));
    }
    let known: BTreeSet<_> =
        netlist.subcircuits.iter().map(|subcircuit| subcircuit.name.as_str()).collect();
    let groups = netlist.subcircuits.iter().map(|subcircuit| &subcircuit.elements);
    for elements in groups.chain([&netlist.elements]) {
        let mut names = BTreeSet::new();
        for element in elements {
            if !names.insert(element.name.to_ascii_lowercase()) {
                let message = format!("`{}` stands here twice", element.name);
                return Err(NetlistError::new(element.span, message));
            }
            let meant = element.subcircuit();
            if let Some(meant) = meant.filter(|name| !known.contains(name.as_str())) {
                let message = format!("there is no subcircuit `{meant}`");
                return Err(NetlistError::new(element.span, message)
                    .help("copy its `.subckt` lines into this netlist"));
            }
        }
    }
    if !netlist.elements.iter().any(|element| element.nodes.iter().any(|node| is_ground(node))) {
        let span = netlist.elements.first().map(|element| element.span).unwrap_or_default();
        return Err(NetlistError::new(span, "no element stands on node 0")
            .help("voltages are read against node 0: call the circuit's 0 V that"));
    }
    Ok(())
}
