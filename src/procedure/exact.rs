//! Which facts a worked-out value takes as exact, as nobody stated a tolerance for them.

use std::collections::BTreeSet;

use super::Procedure;
use crate::quantity::Dimension;

impl Procedure {
    /// The facts without a tolerance that a name under `work_out` rests on, also by way of others, in the order of the
    /// alphabet. `is_stated` tells whether one was given with its own. Plain numbers are counts and ratios, which have none.
    #[must_use]
    pub fn taken_as_exact(&self, name: &str, is_stated: impl Fn(&str) -> bool) -> BTreeSet<String> {
        let (mut exact, mut seen) = (BTreeSet::new(), BTreeSet::new());
        let mut open = vec![name.to_owned()];
        while let Some(name) = open.pop() {
            if !seen.insert(name.clone()) {
                continue;
            }
            if let Some(ask) = self.asks.get(name.as_str()) {
                let has_size = ask.is_value() && ask.unit().dimension() != Dimension::NONE;
                if has_size && ask.tolerance.is_none() && !is_stated(&name) {
                    exact.insert(name);
                }
            } else if let Some(Ok(formula)) =
                self.work_out.get(name.as_str()).map(|worked| worked.formula())
            {
                open.extend(formula.names().into_iter().map(|(name, _)| name.to_owned()));
            }
        }
        exact
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use crate::procedure::{bundled, read_procedure};

    #[test]
    fn what_nobody_states_a_tolerance_of_is_named_also_behind_other_values() {
        let amplifier = read_procedure(bundled::text("amplifier-class-ab").unwrap()).unwrap();
        let all = |name: &str, stated: &str| amplifier.taken_as_exact(name, |fact| fact == stated);
        let exact = |name: &str| all(name, "").into_iter().collect::<Vec<_>>();
        assert_eq!(exact("source"), ["mains", "primary", "secondary", "winding"]);
        assert_eq!(exact("idle"), ["other_current", "pair_idle"]);
        assert!(exact("held").contains(&"secondary".to_owned()), "{:?}", exact("held"));
        assert!(!all("source", "secondary").contains("secondary"), "it was stated");
        assert!(!exact("held").contains(&"reservoir".to_owned()), "a capacitor has a tolerance");
    }
}
