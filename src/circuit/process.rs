//! A process of the simulator, with limited time, memory and disk.

use std::ffi::OsStr;
use std::io;
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use rustix::process::{Pid, Resource, Rlimit, prlimit};

/// The name of the simulator, as it is looked for on the path.
pub(super) const PROGRAM: &str = "ngspice";

/// The most memory (bytes): its own code takes a tenth of it.
const MEMORY: u64 = 1 << 30;

/// The most that it may write into one file (bytes).
const WRITTEN: u64 = 64 << 20;

/// The simulator with arguments, without a shell and without the settings of the person who runs it.
pub(super) fn command(arguments: &[&str]) -> Command {
    let mut command = Command::new(PROGRAM);
    let path = std::env::var_os("PATH").unwrap_or_else(|| OsStr::new("/usr/bin").to_owned());
    command.args(arguments).env_clear().env("PATH", path).env("LC_ALL", "C");
    // All cores are taken already: by one process each.
    command.env("OMP_NUM_THREADS", "1");
    command.stdin(Stdio::null()).stderr(Stdio::null());
    command
}

/// Starts a command and waits for its end, but no longer than this.
pub(super) fn finish(command: &mut Command, at_most: Duration) -> io::Result<()> {
    let mut child = command.spawn()?;
    let limited = limit(child.id());
    let begun = Instant::now();
    let ended = limited.and_then(|()| {
        while child.try_wait()?.is_none() {
            if begun.elapsed() > at_most {
                return child.kill();
            }
            sleep(Duration::from_millis(2));
        }
        Ok(())
    });
    if ended.is_err() {
        // Whatever went wrong, nothing is left running.
        let _ = child.kill();
    }
    child.wait()?;
    ended
}

/// Limits memory and disk of a process.
pub(super) fn limit(id: u32) -> io::Result<()> {
    let pid = i32::try_from(id).ok().and_then(Pid::from_raw);
    for (resource, most) in
        [(Resource::As, MEMORY), (Resource::Fsize, WRITTEN), (Resource::Core, 0)]
    {
        let limit = Rlimit { current: Some(most), maximum: Some(most) };
        match prlimit(pid, resource, limit) {
            // It has ended by itself.
            Ok(_) | Err(rustix::io::Errno::SRCH) => {}
            Err(error) => return Err(error.into()),
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use std::fs::File;

    use super::*;

    #[test]
    fn what_does_not_end_is_ended() {
        let begun = Instant::now();
        finish(Command::new("sleep").arg("60"), Duration::from_millis(50)).unwrap();
        assert!(begun.elapsed() < Duration::from_secs(20));
    }

    #[test]
    fn what_writes_without_end_is_ended_by_its_limit() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("yes");
        let mut yes = Command::new("yes");
        yes.stdout(File::create(&file).unwrap());
        finish(&mut yes, Duration::from_secs(60)).unwrap();
        assert!(file.metadata().unwrap().len() <= WRITTEN);
    }
}
