//! Which simulator there is.

use std::io::{self, Read as _, Seek as _};
use std::time::Duration;

use super::error::EngineError;
use super::process::{PROGRAM, command, finish};

/// The oldest version that is used: the one that Debian 12 has, by which the program is tested.
const OLDEST: u32 = 39;

/// How long it may take to say so, and the most that is read of it (bytes).
const TIME: Duration = Duration::from_secs(5);
const SAYS_MOST: u64 = 64 << 10;

/// Asks the simulator which version it is.
pub(super) fn probe() -> Result<u32, EngineError> {
    let mut printed = tempfile::tempfile()?;
    let mut command = command(&["--version"]);
    command.stdout(printed.try_clone()?);
    finish(&mut command, TIME).map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => EngineError::Missing { program: PROGRAM },
        _ => EngineError::System(error),
    })?;
    let mut bytes = Vec::new();
    printed.rewind()?;
    printed.take(SAYS_MOST).read_to_end(&mut bytes)?;
    new_enough(&String::from_utf8_lossy(&bytes))
}

fn new_enough(printed: &str) -> Result<u32, EngineError> {
    let after = printed.split_once("ngspice-").map(|(_, rest)| rest).unwrap_or_default();
    let digits: String = after.chars().take_while(char::is_ascii_digit).collect();
    match digits.parse() {
        Ok(version) if version >= OLDEST => Ok(version),
        Ok(version) => Err(EngineError::TooOld { version, oldest: OLDEST }),
        Err(_) => Err(EngineError::Unknown { program: PROGRAM }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_version_is_told_from_what_it_prints() {
        let printed = |version: &str| {
            format!("******\n** ngspice-{version} : Circuit level simulation program\n")
        };
        assert!(matches!(new_enough(&printed("39")), Ok(39)));
        assert!(matches!(new_enough(&printed("44.2")), Ok(44)));
        assert!(matches!(new_enough(&printed("31")), Err(EngineError::TooOld { version: 31, .. })));
        for other in ["", "command not found", "** ngspice-x"] {
            assert!(matches!(new_enough(other), Err(EngineError::Unknown { .. })), "{other}");
        }
    }

    #[test]
    fn what_is_missing_or_too_old_is_told_with_the_package_that_brings_it() {
        for error in [
            EngineError::Missing { program: PROGRAM },
            EngineError::TooOld { version: 31, oldest: OLDEST },
            EngineError::Unknown { program: PROGRAM },
            EngineError::Idle { program: PROGRAM },
        ] {
            assert!(error.to_string().contains("Debian package ngspice"), "{error}");
        }
    }
}
