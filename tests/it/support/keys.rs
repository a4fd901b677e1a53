//! People with keys at a bench of the lantern: made by OpenSSH's own tools, as a shop would.

use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use super::bench::Bench;

/// The namespace of the signatures.
pub(crate) const NAMESPACE: &str = "record@wattstep";

/// The people of these tests, by the names of their key files. All invented.
const PEOPLE: [(&str, &str, &str); 3] = [
    ("kim", "Kim Example-Tech", "technician"),
    ("ivo", "Ivo Example-Tech", "technician"),
    ("moss", "Moss Example-Super", "supervisor"),
];

/// A bench whose people sign.
pub(crate) struct Keys {
    pub(crate) bench: Bench,
}

impl Keys {
    /// Gives everybody a key with this passphrase, and writes `people.yaml` and `allowed_signers` with these options.
    pub(crate) fn new(passphrase: &str, options: &str) -> Self {
        let keys = Self { bench: Bench::new() };
        let mut people =
            "format: 1\npeople: A shop for tests (invented)\nsigners: allowed_signers\nstaff:\n"
                .to_owned();
        let mut signers = String::new();
        for (short, name, role) in PEOPLE {
            let id = format!("{short}@shop.example");
            let made =
                keys.ssh_keygen(&["-q", "-t", "ed25519", "-N", passphrase, "-C", &id, "-f", short]);
            assert!(made, "ssh-keygen makes a key for {short}");
            people.push_str(&format!(
                "  {id}:\n    name: {name}\n    roles: [{role}]\n    key: {short}\n    competent: {{lantern: 2099-12-31}}\n"
            ));
            let public = std::fs::read_to_string(keys.bench.path(&format!("{short}.pub"))).unwrap();
            signers.push_str(&format!("{id} {options}{public}"));
        }
        keys.bench.write("people.yaml", people);
        keys.bench.write("allowed_signers", signers);
        let operator = ("Kim Example-Tech (invented)", "Kim Example-Tech");
        let second = ("Moss Example-Super (invented)", "Moss Example-Super");
        let end = ("what-next: end", "what-next: end\n  sign-off: sign");
        keys.bench.write_answers("good.yaml", &[operator, second, end]);
        keys
    }

    /// Runs ssh-keygen in the folder of the bench.
    pub(crate) fn ssh_keygen(&self, arguments: &[&str]) -> bool {
        let mut command = Command::new("ssh-keygen");
        command.args(arguments).current_dir(self.bench.folder());
        command
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status()
            .unwrap()
            .success()
    }

    /// The arguments of a scripted run of the lantern with these people.
    pub(crate) const RUN: [&str; 6] =
        ["run", "lantern.yaml", "--people", "people.yaml", "--answers", "good.yaml"];
}

/// An ssh-agent of this test's own, gone when dropped.
pub(crate) struct Agent {
    child: Child,
    pub(crate) socket: PathBuf,
}

impl Agent {
    /// Starts an agent that holds these key files.
    pub(crate) fn holding(folder: &Path, keys: &[&str]) -> Self {
        let socket = folder.join("agent.sock");
        let child = Command::new("ssh-agent")
            .arg("-D")
            .arg("-a")
            .arg(&socket)
            .stdout(Stdio::null())
            .spawn();
        let agent = Self { child: child.unwrap(), socket };
        let begun = Instant::now();
        while !agent.socket.exists() {
            assert!(begun.elapsed() < Duration::from_secs(60), "the agent never listens");
            std::thread::sleep(Duration::from_millis(5));
        }
        for key in keys {
            let mut add = Command::new("ssh-add");
            add.arg("-q").arg(key).current_dir(folder).env("SSH_AUTH_SOCK", &agent.socket);
            assert!(add.status().unwrap().success());
        }
        agent
    }
}

impl Drop for Agent {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
