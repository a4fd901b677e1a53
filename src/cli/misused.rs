//! What is wrong with the arguments.

use clap::error::ErrorKind;

use crate::diagnostic::{clean_lines, cut};
use crate::shell::terminal;

/// The most of a line that is shown (characters): it may repeat what was typed.
const LINE_MAX: usize = 1_000;
/// The most of a message that is shown (characters): what was typed may have many lines.
const MESSAGE_MAX: usize = 4_000;

/// Tells the person; what is too long to be read is cut, and then has no colours.
pub(super) fn tell(error: &clap::Error) {
    match shortened(error) {
        Some(message) => terminal::err(&message),
        None => {
            // Nothing is left to do when even this cannot be printed.
            let _ = error.print();
        }
    }
}

/// The message with what is too long in it cut; none for one that is short enough, or that repeats nothing.
fn shortened(error: &clap::Error) -> Option<String> {
    let is_help = error.kind() == ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand;
    if is_help || !error.use_stderr() {
        return None;
    }
    let whole = error.render().to_string();
    let is_long = whole.chars().count() > MESSAGE_MAX
        || whole.lines().any(|line| line.chars().count() > LINE_MAX);
    if !is_long {
        return None;
    }
    let lines: Vec<_> = whole.lines().map(|line| cut(line, LINE_MAX)).collect();
    Some(format!("{}\n", clean_lines(&cut(&lines.join("\n"), MESSAGE_MAX))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::chosen;

    fn error(arguments: &[&str]) -> clap::Error {
        let arguments: Vec<_> = arguments.iter().map(Into::into).collect();
        chosen(&arguments).expect_err("they are wrong")
    }

    #[test]
    fn a_long_value_is_not_repeated() {
        let (digits, lines) = ("9".repeat(120_000), "9\n".repeat(60_000));
        for arguments in [
            &["wattstep", "work-out", "fuse", "--rating", &digits][..],
            &["wattstep", "work-out", "fuse", "--rating", &lines],
            &["wattstep", "work-out", "fuse", &format!("--{digits}")],
            &["wattstep", "work-out", &digits],
            &["wattstep", &digits],
        ] {
            let message = shortened(&error(arguments)).expect("it is cut");
            assert!(message.len() < 5_000, "{} bytes", message.len());
            assert!(message.starts_with("error: "), "{message}");
            assert!(message.contains(" characters left out ...]"), "{message}");
            assert!(message.trim_end().ends_with("try '--help'."), "{message}");
        }
    }

    #[test]
    fn an_ordinary_message_is_left_as_it_is() {
        for arguments in [
            &["wattstep", "work-out", "fuse", "--rating", "nine"][..],
            &["wattstep", "work-out"],
            &["wattstep", "run", "--nothing"],
            &["wattstep", "rnu"],
            &["wattstep", "--help"],
        ] {
            assert_eq!(shortened(&error(arguments)), None, "{arguments:?}");
        }
    }
}
