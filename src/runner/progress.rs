//! How far a run has got: where it is, what is asked, and what comes after that.
//!
//! Always true: at most one question is asked at a time; nothing that two people agreed on outlives the act it was about.

use std::collections::VecDeque;

use super::effect::{Question, WaitSpan};
use super::step_at::StepAt;
use super::task::Task;
use crate::record::Trace;

/// The way through the procedure.
#[derive(Clone, Debug, Default)]
pub(super) struct Progress {
    at: Option<StepAt>,
    current: Option<Current>,
    tasks: VecDeque<Task>,
    /// Two people have agreed on the act at hand, and it is not done yet.
    is_agreed: bool,
    over: Option<EndedRun>,
}

/// The question that waits for an answer, or the wait that waits for its end.
#[derive(Clone, Debug)]
pub(super) struct Current {
    pub(super) task: Task,
    pub(super) question: Question,
    pub(super) wait: Option<WaitSpan>,
    /// What instruments have sampled.
    pub(super) traces: Vec<Trace>,
}

/// A run that has ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct EndedRun {
    is_resumable: bool,
}

impl Progress {
    pub(super) fn at(&self) -> Option<StepAt> {
        self.at
    }

    pub(super) fn go_to(&mut self, at: StepAt) {
        self.at = Some(at);
    }

    pub(super) fn current(&self) -> Option<&Current> {
        self.current.as_ref()
    }

    pub(super) fn current_mut(&mut self) -> Option<&mut Current> {
        self.current.as_mut()
    }

    pub(super) fn task(&self) -> Option<&Task> {
        self.current.as_ref().map(|current| &current.task)
    }

    pub(super) fn question(&self) -> Option<&Question> {
        self.current.as_ref().map(|current| &current.question)
    }

    /// Puts a question, or begins a wait.
    pub(super) fn ask(&mut self, current: Current) {
        self.current = Some(current);
    }

    /// The question has its answer, or is put no more.
    pub(super) fn answered(&mut self) {
        self.current = None;
    }

    pub(super) fn take(&mut self) -> Option<Current> {
        self.current.take()
    }

    pub(super) fn take_if(&mut self, is_it: impl FnOnce(&Current) -> bool) -> Option<Current> {
        self.current.take_if(|current| is_it(current))
    }

    /// Puts tasks in front of all others, in their order.
    pub(super) fn first(
        &mut self,
        tasks: impl IntoIterator<Item = Task, IntoIter: DoubleEndedIterator>,
    ) {
        for task in tasks.into_iter().rev() {
            self.tasks.push_front(task);
        }
    }

    /// Puts tasks behind all others.
    pub(super) fn last(&mut self, tasks: impl IntoIterator<Item = Task>) {
        self.tasks.extend(tasks);
    }

    /// What comes next; nothing while a question stands, and none of it once the run is over.
    pub(super) fn next(&mut self) -> Option<Task> {
        if self.current.is_some() || self.over.is_some() {
            return None;
        }
        self.tasks.pop_front()
    }

    /// What is still to come, in order.
    pub(super) fn tasks(&self) -> impl Iterator<Item = &Task> {
        self.tasks.iter()
    }

    pub(super) fn tasks_mut(&mut self) -> impl Iterator<Item = &mut Task> {
        self.tasks.iter_mut()
    }

    pub(super) fn retain(&mut self, stays: impl FnMut(&Task) -> bool) {
        self.tasks.retain(stays);
    }

    /// Drops what was to come. The question at hand stands.
    pub(super) fn drop_tasks(&mut self) {
        self.tasks.clear();
    }

    /// Drops all that was asked and decided, and gives back what stood.
    pub(super) fn interrupt(&mut self) -> Option<Current> {
        self.tasks.clear();
        self.is_agreed = false;
        self.current.take()
    }

    pub(super) fn is_agreed(&self) -> bool {
        self.is_agreed
    }

    /// Two people agree on the act at hand.
    pub(super) fn agree(&mut self) {
        self.is_agreed = true;
    }

    pub(super) fn forget_agreement(&mut self) {
        self.is_agreed = false;
    }

    /// Ends the run.
    pub(super) fn end(&mut self, is_resumable: bool) {
        self.tasks.clear();
        self.over = Some(EndedRun { is_resumable });
    }

    /// Takes a run up that had ended.
    pub(super) fn begin_again(&mut self) {
        self.over = None;
    }

    pub(super) fn is_over(&self) -> bool {
        self.over.is_some()
    }

    pub(super) fn is_resumable(&self) -> bool {
        self.over.is_none_or(|over| over.is_resumable)
    }
}
