//! Approving a people file: in the register of a folder, by somebody who may.

use chrono::Local;

use super::Records;
use crate::journal::register::{Index, NO_REGISTER, PeopleApproval, Register};
use crate::procedure::{People, Permission, Person, person_name, read_people};
use crate::record::{Approved, Duty};
use crate::shell::fault::Fault;
use crate::sitting::registering;
use crate::sitting::staff::Staff;

/// What became of a people file that was to be approved.
pub(super) enum ApprovalOutcome {
    Approved(Approved),
    /// It was the approved one already.
    Known(Approved),
}

/// Writes into the register that somebody approves a people file: somebody who may by the one that was approved before, or, where none
/// was, by this one itself. The name is typed.
pub(super) fn approve(
    staff: &Staff,
    by: &str,
    records: &Records,
) -> Result<ApprovalOutcome, Fault> {
    person_name(by).map_err(|reason| Fault::usage(reason.to_string()))?;
    if !staff.people.staff.iter().any(|person| may_approve(&staff.people, person)) {
        let fault = Fault::usage("by this file nobody may approve the next one");
        return Err(fault.help("make somebody a supervisor, or give a role `approve: alone`"));
    }
    let folder = &records.records;
    let index = Index::read(folder).map_err(registering::refused)?;
    if index.is_none() && !records.list()?.is_empty() {
        return Err(Fault::damaged(NO_REGISTER).help("nothing was approved"));
    }
    let last = index.as_ref().and_then(Index::people);
    if let Some(approved) = last.map(PeopleApproval::approved)
        && staff.files().are(&approved)
    {
        return Ok(ApprovalOutcome::Known(approved));
    }
    // Nothing is made for somebody who may not.
    approver(last, &staff.people, by)?;
    let mut register = Register::open(folder).map_err(registering::refused)?;
    // Now that nobody else can add to it: is it still so?
    let by = approver(register.index().people(), &staff.people, by)?;
    let (at, people) = (Local::now().fixed_offset(), staff.file.clone());
    let signers = staff.signers.as_ref().map(|file| file.sha256.clone());
    let approval = PeopleApproval { at, people, signers, by };
    let approved = approval.approved();
    register.approve(approval).map_err(Fault::failed)?;
    Ok(ApprovalOutcome::Approved(approved))
}

/// The full name of the person who may approve the file: by the one before it, or by itself.
fn approver(last: Option<&PeopleApproval>, people: &People, by: &str) -> Result<String, Fault> {
    let before = last.map(|last| read_people(&last.people.text)).transpose();
    let before = before.map_err(|finding| Fault::damaged(finding.message))?;
    let (people, which) = match &before {
        Some(before) => (before, "the people file that was approved last"),
        None => (people, "this people file"),
    };
    let Some(person) = people.find(by) else {
        let fault = Fault::usage(format!("{} is not on the staff of {which}", by.trim()));
        return Err(fault.help("give the name or the identity of somebody who is and may approve"));
    };
    let name = &person.name.value;
    if !may_approve(people, person) {
        let fault = Fault::usage(format!("by {which} {name} may not approve one"));
        return Err(fault.help("a supervisor may, and anyone who has a role with `approve: alone`"));
    }
    Ok(name.clone())
}

fn may_approve(people: &People, person: &Person) -> bool {
    people.by_role(person, Duty::Approve) == Permission::Alone
}
