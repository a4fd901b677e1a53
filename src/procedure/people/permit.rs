//! Who may do what on a day: the one place that decides it.

use super::{Day, People, Permission, Person, identity};
use crate::record::{Duty, PersonRefusal};

impl People {
    /// Tells whether a person is competent for a class on a day.
    ///
    /// # Errors
    /// That there is no competence, or the day after which it ran out.
    pub fn admits(&self, person: &Person, class: &str, day: Day) -> Result<(), PersonRefusal> {
        let (name, class) = (person.name.value.clone(), class.to_owned());
        let wanted = identity(&class);
        let competence = person.competent.iter().find(|(known, _)| identity(known) == wanted);
        match competence {
            None => Err(PersonRefusal::NotCompetent { name, class }),
            Some((_, last)) if last.value < day => {
                Err(PersonRefusal::Expired { name, class, last: last.value.to_string() })
            }
            Some(_) => Ok(()),
        }
    }

    /// Finds who is meant by a name and tells whether that person may work on a class on a day.
    ///
    /// # Errors
    /// Why not: nobody of that name, or not competent.
    pub fn admitted(&self, name: &str, class: &str, day: Day) -> Result<&Person, PersonRefusal> {
        let unknown = || PersonRefusal::NotOnStaff { name: name.trim().to_owned() };
        let person = self.find(name).ok_or_else(unknown)?;
        self.admits(person, class, day).map(|()| person)
    }

    /// What a person may do with equipment of a class on a day: nothing without competence, else what the best of the
    /// roles allows.
    #[must_use]
    pub fn may(&self, person: &Person, duty: Duty, class: &str, day: Day) -> Permission {
        match self.admits(person, class, day) {
            Ok(()) => self.by_role(person, duty),
            Err(_) => Permission::No,
        }
    }

    /// Tells whether a competent person may release a hold point that names this role: with the role itself, or, where
    /// nobody knows the role, with the right to release.
    #[must_use]
    pub fn releases(&self, person: &Person, role: &str, class: &str, day: Day) -> bool {
        if !self.has_role(role) {
            return self.may(person, Duty::Release, class, day) == Permission::Alone;
        }
        let wanted = identity(role);
        let has_it = person.roles.iter().any(|role| identity(role) == wanted);
        has_it && self.admits(person, class, day).is_ok()
    }
}
