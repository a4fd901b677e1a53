//! `signatures`: who signed what in a record, and the files to check it with `ssh-keygen`.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::asked::counted;
use super::{OutputFormat, Records, print_json};
use crate::audit::signatures::SignatureWalk;
use crate::cli::exit::Exit;
use crate::diagnostic::clean_lines;
use crate::journal::register::{RegisterStanding, Wrong};
use crate::record::Opening;
use crate::shell::fault::Fault;
use crate::shell::file;
use crate::shell::shop;
use crate::shell::terminal;
use crate::signature::{CheckedSignature, NAMESPACE, fingerprint};

/// List the signatures of a record, or write them out for ssh-keygen
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// The record: its file, or the name of the run
    record: PathBuf,
    #[command(flatten)]
    records: Records,
    /// Folder to write each statement, its signature and the allowed signers to; made if it is missing
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// The shop's own file of allowed signers: each signature has to hold by it as well
    #[arg(long, value_name = "FILE")]
    against: Option<PathBuf>,
    /// Public keys that the shop counts no longer, one a line
    #[arg(long, value_name = "FILE", requires = "against")]
    revoked: Option<PathBuf>,
    /// How to print it
    #[arg(long, value_enum, default_value_t)]
    format: OutputFormat,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let path = arguments.records.found(&arguments.record)?;
    let shop = arguments.against.as_deref();
    let shop = shop.map(|signers| shop::shop(signers, arguments.revoked.as_deref())).transpose()?;
    let mut walk = SignatureWalk::by(shop.as_ref());
    let standing = RegisterStanding::of(&path, |line| walk.see(line)).map_err(Fault::failed)?;
    if let RegisterStanding::Wrong(wrong @ Wrong::Damaged(_)) = &standing {
        return Err(Fault::damaged(wrong));
    }
    let opening = super::show::read(&path)?.opening;
    let lines = match &arguments.out {
        Some(folder) => write(folder, &opening, &walk.signed)?,
        None => Vec::new(),
    };
    match arguments.format {
        OutputFormat::Text => {
            let mut above = standing.fault().map(|why| format!("{why}\n")).unwrap_or_default();
            above.extend(
                standing.caveats().iter().map(|caveat| format!("The register: {caveat}\n")),
            );
            let text = text(&opening, &walk, &lines);
            terminal::out(&clean_lines(&format!("{above}{text}")));
        }
        OutputFormat::Json => print_json(&json(&opening, &walk, &standing)),
    }
    let wrong = match &standing {
        // A copy that was sent has no register: that is said, and its signatures hold or not by themselves.
        RegisterStanding::NoRegister | RegisterStanding::AsRegistered(_) => None,
        RegisterStanding::Unreadable(_) | RegisterStanding::Wrong(_) => standing.fault(),
    };
    match walk.wrong().or(wrong) {
        Some(wrong) => Err(Fault::damaged(wrong)),
        None => Ok(Exit::Finished),
    }
}

fn text(opening: &Opening, walk: &SignatureWalk, lines: &[String]) -> String {
    if opening.signers.is_none() {
        return format!("{}: names {}\n", opening.run, opening.names().typed());
    }
    let signatures = counted(walk.signed.len(), "signature");
    let flawed = walk.signed.iter().filter(|(_, checked)| checked.flaw.is_some()).count();
    let flawed = match flawed {
        0 => String::new(),
        1 => ", 1 DOES NOT HOLD".to_owned(),
        more => format!(", {more} DO NOT HOLD"),
    };
    let mut text = format!("{}: {signatures}{flawed}\n", opening.run);
    for (line, CheckedSignature { signature, flaw, .. }) in &walk.signed {
        let key = fingerprint(&signature.armored).unwrap_or_else(|| "no key".to_owned());
        let state = flaw
            .as_ref()
            .map_or_else(|| "holds".to_owned(), |flaw| format!("DOES NOT HOLD: {flaw}"));
        text.push_str(&format!(
            "  line {line}  {}: {} ({})\n    {}  {key}\n    {state}\n",
            signature.meaning.words(),
            signature.name,
            signature.principal,
            signature.at.format("%Y-%m-%d %H:%M:%S %:z"),
        ));
    }
    for line in lines {
        text.push_str(line);
        text.push('\n');
    }
    text
}

fn json(opening: &Opening, walk: &SignatureWalk, standing: &RegisterStanding) -> Value {
    let signatures =
        walk.signed.iter().map(|(line, CheckedSignature { statement, signature, flaw })| {
            json!({
                "line": line,
                "name": signature.name,
                "principal": signature.principal,
                "meaning": signature.meaning,
                "at": signature.at,
                "key": fingerprint(&signature.armored),
                "holds": flaw.is_none(),
                "flaw": flaw.as_ref().map(ToString::to_string),
                "statement": statement,
                "signature": signature.armored,
            })
        });
    json!({
        "run": opening.run,
        "signed": opening.signers.is_some(),
        "wrong": walk.wrong(),
        "register": standing.fault(),
        "register_caveats": standing.caveats(),
        "signatures": signatures.collect::<Vec<_>>(),
    })
}

/// Writes the files that `ssh-keygen` checks, and gives the lines to type.
fn write(
    folder: &Path,
    opening: &Opening,
    signed: &[(usize, CheckedSignature)],
) -> Result<Vec<String>, Fault> {
    const SIGNERS: &str = "allowed_signers";
    let Some(signers) = &opening.signers else { return Ok(Vec::new()) };
    std::fs::create_dir_all(folder)
        .map_err(|error| Fault::failed(format!("{} can't be made: {error}", folder.display())))?;
    file::put(Some(&folder.join(SIGNERS)), signers.text.as_bytes(), false)?;
    let mut lines = vec![format!("To check them without this program, in {}:", folder.display())];
    let mut last = (0, 0);
    for (line, CheckedSignature { statement, signature, .. }) in signed {
        // A hand-over has two in one line.
        last = if last.0 == *line { (*line, last.1 + 1) } else { (*line, 1) };
        let name = format!("{line}-{}.txt", last.1);
        file::put(Some(&folder.join(&name)), statement.as_bytes(), false)?;
        let sig = format!("{name}.sig");
        file::put(Some(&folder.join(&sig)), signature.armored.as_bytes(), false)?;
        let time = signature.at.to_utc().format("%Y%m%d%H%M%SZ");
        lines.push(format!(
            "ssh-keygen -Y verify -f {SIGNERS} -I {} -n {NAMESPACE} -O verify-time={time} -s {sig} < {name}",
            quoted(&signature.principal),
        ));
    }
    Ok(lines)
}

/// A word as a shell takes it, whatever stands in it.
fn quoted(word: &str) -> String {
    let is_plain = |c: char| c.is_ascii_alphanumeric() || "@._-+".contains(c);
    if !word.is_empty() && word.chars().all(is_plain) {
        return word.to_owned();
    }
    format!("'{}'", word.replace('\'', r"'\''"))
}

#[cfg(test)]
mod tests {
    use super::quoted;

    #[test]
    fn no_principal_gets_past_the_quotes_of_a_shell() {
        assert_eq!(quoted("kim@quillmere.example"), "kim@quillmere.example");
        assert_eq!(quoted("$(id)"), "'$(id)'");
        assert_eq!(quoted("it's;id"), r"'it'\''s;id'");
        assert_eq!(quoted(""), "''");
    }
}
