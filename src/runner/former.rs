//! Which rules a run goes by: those of the version that it was begun with, or last taken up again with.
//!
//! A record plays again to what it says, so a rule that is stricter than before holds from the version that brought it. Since 0.3
//! a ceiling stays as it was when its stage opened, a reading counts only while the stage's source is on, and what is fitted has
//! to be allowed on a source.

/// The first version with those rules.
const FIRST: [u32; 2] = [0, 3];

/// Whether a version is from before them. What is no version is taken for one of today.
pub(super) fn is_former(program: &str) -> bool {
    let mut numbers = program.split('.').map(|number| number.parse::<u32>().ok());
    let (Some(Some(major)), Some(Some(minor))) = (numbers.next(), numbers.next()) else {
        return false;
    };
    [major, minor] < FIRST
}

#[cfg(test)]
mod tests {
    use super::is_former;

    #[test]
    fn a_version_goes_by_the_rules_it_had() {
        assert!(["0.1.0", "0.2.0", "0.2.9"].into_iter().all(is_former));
        assert!(!["0.3.0", "0.10.1", "1.0.0", "0", ""].into_iter().any(is_former));
    }
}
