//! Hands over to the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    wattstep::cli::run(std::env::args_os()).into()
}
