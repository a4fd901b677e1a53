//! Hands over to the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    wattstep::run(std::env::args_os()).into()
}
