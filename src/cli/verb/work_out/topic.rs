//! How a topic becomes a command of its own.

use std::fmt::Debug;

use clap::error::ErrorKind;
use clap::parser::ValueSource;
use clap::{Arg, ArgGroup, ArgMatches, Args, Command, Error, FromArgMatches, Id, Subcommand};

use super::answer::Answer;
use super::{How, TOPICS, with_topics};
use crate::shell::fault::Fault;

/// The option that needs no value beside it.
const EXPLAIN: &str = "explain";

/// Something to work out, with its values.
pub(super) trait Topic: Debug {
    /// Works it out; errors where the values do not fit together.
    fn work_out(&self) -> Result<Answer, Fault>;
}

/// A topic's line in the table.
#[derive(Clone, Copy, Debug)]
pub(super) struct TopicEntry {
    /// The word it is chosen by.
    pub(super) name: &'static str,
    /// What it works out, as the list of topics says it.
    about: &'static str,
    /// Its page of explanation.
    pub(super) page: &'static str,
    augment: fn(Command) -> Command,
    set_up: fn(Command) -> Command,
    read: fn(&ArgMatches) -> Result<Box<dyn Topic>, Error>,
}

impl TopicEntry {
    pub(super) const fn of<T: Topic + Args + 'static>(
        name: &'static str,
        about: &'static str,
        page: &'static str,
    ) -> Self {
        let set_up: fn(Command) -> Command = |command| explainable(T::augment_args(command));
        let read = |matches: &ArgMatches| -> Result<Box<dyn Topic>, Error> {
            Ok(Box::new(T::from_arg_matches(matches)?))
        };
        Self { name, about, page, augment: T::augment_args, set_up, read }
    }

    /// The command; its options are set up once it is chosen.
    pub(super) fn command(&self) -> Command {
        Command::new(self.name).about(self.about).defer(self.set_up)
    }

    /// Whether every value that has to be given was.
    fn is_complete(&self, matches: &ArgMatches) -> bool {
        let command = (self.augment)(Command::new(self.name));
        let is_given =
            |id: &Id| matches.value_source(id.as_str()) == Some(ValueSource::CommandLine);
        let mut arguments = command.get_arguments().filter(|argument| argument.is_required_set());
        let mut groups = command.get_groups().filter(|group| group.is_required_set());
        arguments.all(|argument| is_given(argument.get_id()))
            && groups.all(|group| group.get_args().any(is_given))
    }
}

/// Lets `--explain` stand in for every value.
fn explainable(command: Command) -> Command {
    let explained = How::augment_args(command).mut_args(|argument| {
        let argument = signed(argument);
        if argument.is_required_set() {
            argument.required(false).required_unless_present(EXPLAIN)
        } else {
            argument
        }
    });
    let ways: Vec<_> =
        explained.get_groups().filter(|group| group.is_required_set()).cloned().collect();
    ways.iter().fold(explained, or_explain)
}

/// Takes `-10degC` behind an option for its value, and not for another option.
///
/// An option that goes on taking values would take the next option for one of them.
fn signed(argument: Arg) -> Arg {
    let is_single = argument.get_num_args().is_none_or(|count| count.max_values() == 1);
    if is_single && argument.get_action().takes_values() {
        argument.allow_hyphen_values(true)
    } else {
        argument
    }
}

/// Lets `--explain` stand beside or instead of the one argument that a group asks for.
fn or_explain(command: Command, group: &ArgGroup) -> Command {
    let members: Vec<_> = group.get_args().cloned().collect();
    let command = command.mut_group(group.get_id(), |group| group.multiple(true).arg(EXPLAIN));
    members.iter().fold(command, |command, one| {
        let others: Vec<_> = members.iter().filter(|other| *other != one).cloned().collect();
        command.mut_arg(one, |argument| argument.conflicts_with_all(others))
    })
}

/// The topic that was chosen.
#[derive(Debug)]
pub(super) struct Chosen {
    pub(super) entry: TopicEntry,
    /// `None` where it is only to be explained, as values are missing.
    pub(super) topic: Option<Box<dyn Topic>>,
    pub(super) how: How,
}

impl FromArgMatches for Chosen {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, Error> {
        let (name, matches) =
            matches.subcommand().ok_or_else(|| Error::new(ErrorKind::MissingSubcommand))?;
        let entry = TOPICS
            .into_iter()
            .find(|entry| entry.name == name)
            .ok_or_else(|| Error::new(ErrorKind::InvalidSubcommand))?;
        let how = How::from_arg_matches(matches)?;
        let only_explain = how.explain && !entry.is_complete(matches);
        let topic = if only_explain { None } else { Some((entry.read)(matches)?) };
        Ok(Self { entry, topic, how })
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), Error> {
        *self = Self::from_arg_matches(matches)?;
        Ok(())
    }
}

impl Subcommand for Chosen {
    fn augment_subcommands(command: Command) -> Command {
        with_topics(command).subcommand_required(true).arg_required_else_help(true)
    }

    fn augment_subcommands_for_update(command: Command) -> Command {
        Self::augment_subcommands(command)
    }

    fn has_subcommand(name: &str) -> bool {
        TOPICS.iter().any(|entry| entry.name == name)
    }
}
