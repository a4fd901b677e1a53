//! Somebody outside the program is asked: an agent, which may ask its person, or a disk that may be far away.

use std::sync::mpsc::{RecvTimeoutError, channel};
use std::thread;
use std::time::{Duration, Instant};

use crate::shell::terminal;
use crate::sitting::beside::PromptEnd;
use crate::sitting::front::{Front, Reply, WaitStanding};

/// Why there is no signature.
#[derive(Debug)]
pub(super) enum NoSignature {
    /// It could not be had, in words for the person.
    Told(String),
    /// Something came in between.
    Reply(Reply),
}

/// How long an answer is waited for: an agent may ask its person to confirm.
pub(super) const PATIENCE: Duration = Duration::from_secs(60);

/// How long one look at the answer waits for it.
const LOOK: Duration = Duration::from_millis(50);

/// A person who answers at once is not worth a line on the screen.
const AT_ONCE: Duration = Duration::from_millis(500);

/// Has a thread of its own ask, and waits for its answer: a signal, the word to stop and the end of what is watched beside it
/// come before. The thread is left behind then, with nothing but its question.
pub(super) fn asked<T: Send + 'static>(
    whom: &str,
    front: &mut dyn Front,
    ended: Option<&PromptEnd>,
    ask: impl FnOnce() -> Result<T, String> + Send + 'static,
) -> Result<T, NoSignature> {
    let told = |words: &str| Err(NoSignature::Told(format!("{whom} {words}")));
    let (answer, answers) = channel();
    let begun = Instant::now();
    let asking = thread::Builder::new().spawn(move || answer.send(ask()));
    if let Err(error) = asking {
        return told(&format!("can't be asked: {error}"));
    }
    let mut is_shown = false;
    while begun.elapsed() < PATIENCE {
        match answers.recv_timeout(LOOK) {
            Ok(answer) => return answer.map_err(NoSignature::Told),
            Err(RecvTimeoutError::Disconnected) => return told("could not be asked"),
            Err(RecvTimeoutError::Timeout) => {}
        }
        if ended.is_some_and(|ended| terminal::is_closed(ended.pipe())) {
            return Err(NoSignature::Reply(Reply::Cut));
        }
        if begun.elapsed() > AT_ONCE && !std::mem::replace(&mut is_shown, true) {
            let seconds = PATIENCE.as_secs();
            front.stand_by(&format!("  Waiting up to {seconds} s for {whom} (s to stop) ...\n"));
        }
        if let Some(reply) = front.live(&WaitStanding::default()) {
            return Err(NoSignature::Reply(reply));
        }
    }
    told(&format!("did not answer within {} s", PATIENCE.as_secs()))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;
    use crate::sitting::front::tests::Looking;

    /// Asks somebody who never answers.
    fn in_vain(front: &mut Looking, ended: Option<&PromptEnd>) -> NoSignature {
        let never = || -> Result<(), String> {
            loop {
                thread::park();
            }
        };
        asked("the agent", front, ended, never).unwrap_err()
    }

    #[test]
    fn an_answer_comes_back_and_so_does_why_there_is_none() {
        let mut front = Looking::default();
        assert_eq!(asked("the agent", &mut front, None, || Ok(1)).unwrap(), 1);
        let refused = asked::<()>("the agent", &mut front, None, || Err("it refused".to_owned()));
        assert!(matches!(refused, Err(NoSignature::Told(words)) if words == "it refused"));
        let failed = asked::<()>("the agent", &mut front, None, || panic!("on purpose"));
        assert!(matches!(failed, Err(NoSignature::Told(words)) if words.contains("could not")));
    }

    #[test]
    fn a_signal_and_the_word_to_stop_come_before_an_answer_that_never_comes() {
        for reply in [Reply::Interrupted("SIGINT".to_owned()), Reply::Stop("a key".into())] {
            let mut front = Looking(vec![Some(reply.clone()), None]);
            let begun = Instant::now();
            let none = in_vain(&mut front, None);
            assert!(matches!(none, NoSignature::Reply(came) if came == reply));
            assert!(begun.elapsed() < Duration::from_secs(10));
        }
    }

    #[test]
    fn what_is_watched_beside_it_ends_the_wait_as_well() {
        let ended = PromptEnd::of_a_test_that_ended();
        let none = in_vain(&mut Looking::default(), Some(&ended));
        assert!(matches!(none, NoSignature::Reply(Reply::Cut)));
    }
}
