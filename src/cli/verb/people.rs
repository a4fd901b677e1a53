//! `people`: who may do what on a day, and until when.

use std::path::PathBuf;

use chrono::{Local, NaiveDate};
use serde_json::{Value, json};

use super::{Format, check, print_json};
use crate::cli::exit::Exit;
use crate::cli::fault::Fault;
use crate::cli::{file, terminal};
use crate::procedure::{At, Day, People, Person};
use crate::record::Duty;
use crate::report::{Sheet, Tone};

/// Show who may do what on a day, and until when
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// A people file
    people: PathBuf,
    /// The day, as 2027-03-31; without it, today
    #[arg(long, value_name = "DATE")]
    on: Option<NaiveDate>,
    /// How to print it
    #[arg(long, value_enum, default_value_t)]
    format: Format,
}

pub(in crate::cli) fn run(arguments: &Arguments) -> Result<Exit, Fault> {
    let people = check::sound_people(&file::read(&arguments.people)?)?;
    let on = Day::from(arguments.on.unwrap_or_else(|| Local::now().date_naive()));
    match arguments.format {
        Format::Json => print_json(&json!({
            "people": people.people.value,
            "on": on.to_string(),
            "signers": people.signers.as_ref().map(|own| own.as_str()),
            "staff": people.staff.iter().map(|own| as_json(&people, own, on)).collect::<Vec<_>>(),
        })),
        Format::Text => {
            let mut sheet = Sheet::new(terminal::out_style());
            sheet.line(Tone::Strong, &format!("{}, on {on}", *people.people));
            people.staff.iter().for_each(|own| text(&mut sheet, &people, own, on));
            terminal::out(&sheet.finish());
        }
    }
    Ok(Exit::Finished)
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
        competence(sheet, people, person, (class, last.value), on);
    }
}

fn competence(
    sheet: &mut Sheet,
    people: &People,
    person: &Person,
    (class, last): (&At<String>, Day),
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
