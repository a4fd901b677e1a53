//! `people`: who may do what on a day, and until when; and that somebody approves the file.

use std::path::PathBuf;

use chrono::{Local, NaiveDate};
use serde_json::{Value, json};

use super::approving;
use super::{OutputFormat, Records, print_json};
use crate::cli::exit::Exit;
use crate::diagnostic::clean_lines;
use crate::journal::register::Index;
use crate::procedure::{At, Day, People, Person};
use crate::record::{Approval, Approved, Duty};
use crate::report::{Sheet, Tone};
use crate::shell::fault::Fault;
use crate::shell::terminal;
use crate::sitting::registering;
use crate::sitting::staff::Staff;

/// Show who may do what on a day, and until when, or approve the people file
///
/// With --approve the file goes into the register of the records, with who approves it: somebody who may by the file that was approved
/// before. A run with another file then says so, on its first screen and in its report.
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// A people file
    people: PathBuf,
    /// The day, as 2027-03-31; without it, today
    #[arg(long, value_name = "DATE")]
    on: Option<NaiveDate>,
    /// Approve the file as it is now
    #[arg(long, requires = "by", conflicts_with_all = ["on", "format"])]
    approve: bool,
    /// Who approves it: it goes into the register
    #[arg(long, value_name = "NAME", requires = "approve")]
    by: Option<String>,
    #[command(flatten)]
    records: Records,
    /// How to print it
    #[arg(long, value_enum, default_value_t)]
    format: OutputFormat,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let staff = Staff::read(&arguments.people)?;
    if let Some(by) = arguments.by.as_deref().filter(|_| arguments.approve) {
        return approve(&staff, by, &arguments.records);
    }
    let approval = Index::read(&arguments.records.records).map_err(registering::refused)?;
    let approval = approval.map_or(Approval::Never, |index| index.approval());
    let people = &staff.people;
    let on = Day::from(arguments.on.unwrap_or_else(|| Local::now().date_naive()));
    match arguments.format {
        OutputFormat::Json => print_json(&json!({
            "people": people.people.value,
            "on": on.to_string(),
            "signers": people.signers.as_ref().map(|signers| signers.as_str()),
            "approved": approval.approved().map(|approved| json!({
                "this_file": staff.files().are(approved),
                "sha256": approved.people,
                "by": approved.by,
                "at": approved.at,
            })),
            "staff": people.staff.iter().map(|person| as_json(people, person, on)).collect::<Vec<_>>(),
        })),
        OutputFormat::Text => {
            let mut sheet = Sheet::new(terminal::out_style());
            sheet.line(Tone::Strong, &format!("{}, on {on}", *people.people));
            approved(&mut sheet, &staff, approval.approved());
            people.staff.iter().for_each(|person| text(&mut sheet, people, person, on));
            terminal::out(&sheet.finish());
        }
    }
    Ok(Exit::Finished)
}

fn approve(staff: &Staff, by: &str, records: &Records) -> Result<Exit, Fault> {
    let (words, approved) = match approving::approve(staff, by, records)? {
        approving::ApprovalOutcome::Approved(approved) => ("approved", approved),
        approving::ApprovalOutcome::Known(approved) => ("was approved already", approved),
    };
    let (name, at) = (&staff.file.name, approved.when());
    let Approved { people, by, .. } = approved;
    let words =
        format!("{name} {words} by {by} on {at} (name typed, not signed)\n  SHA-256 {people}\n");
    terminal::out(&clean_lines(&words));
    Ok(Exit::Finished)
}

/// Whether it is the file that was approved last, where one was.
fn approved(sheet: &mut Sheet, staff: &Staff, approved: Option<&Approved>) {
    if let Some(how) = staff.files().differ_from(approved) {
        sheet.line(Tone::Caution, &how.words());
    } else if let Some(approved) = approved {
        sheet.line(Tone::Plain, &format!("approved by {} on {}", approved.by, approved.when()));
    }
}

fn roles(person: &Person) -> Vec<&str> {
    person.roles.iter().map(|role| role.as_str()).collect()
}

/// What a person may do with equipment of one class, duty by duty.
fn rights<'a>(
    people: &'a People,
    person: &'a Person,
    class: &'a str,
    on: Day,
) -> impl Iterator<Item = (Duty, &'static str)> + 'a {
    Duty::ALL.into_iter().map(move |duty| (duty, people.may(person, duty, class, on).word()))
}

fn text(sheet: &mut Sheet, people: &People, person: &Person, on: Day) {
    sheet.gap();
    let roles = roles(person).join(", ");
    sheet.line(Tone::Strong, &format!("{} ({roles})", *person.name));
    sheet.field("identity", &person.id);
    if person.competent.is_empty() {
        return sheet.indented(
            Tone::Caution,
            "  ",
            "competent for nothing: not admitted to a bench",
        );
    }
    for (class, last) in person.competent.iter() {
        competence(sheet, people, person, class, last.value, on);
    }
}

fn competence(
    sheet: &mut Sheet,
    people: &People,
    person: &Person,
    class: &At<String>,
    last: Day,
    on: Day,
) {
    if let Err(refused) = people.admits(person, class, on) {
        return sheet.indented(Tone::Bad, "  ", &format!("NOT ADMITTED: {refused}"));
    }
    sheet.indented(Tone::Plain, "  ", &format!("{} until {last}", **class));
    let rights: Vec<_> = rights(people, person, class, on)
        .map(|(duty, word)| format!("{}: {word}", duty.words()))
        .collect();
    sheet.indented(Tone::Faint, "    ", &rights.join(", "));
}

fn as_json(people: &People, person: &Person, on: Day) -> Value {
    let competent = person.competent.iter().map(|(class, last)| {
        let may: serde_json::Map<_, _> = rights(people, person, class, on)
            .filter_map(|(duty, word)| Some((json!(duty).as_str()?.to_owned(), json!(word))))
            .collect();
        let admitted = people.admits(person, class, on).is_ok();
        let last = last.value.to_string();
        json!({ "class": class.value, "last_day": last, "admitted": admitted, "may": may })
    });
    json!({
        "identity": person.id.value,
        "name": person.name.value,
        "roles": roles(person),
        "competent": competent.collect::<Vec<_>>(),
    })
}
