//! Which facts bind a second person, and what stands behind that name.

use crate::record::{Fact, Names};

/// What has to be said behind the name of the second person that a fact binds; nothing where it binds nobody.
pub(super) fn remark(fact: &Fact, names: Names) -> String {
    bound(fact, names).remark().map(|words| format!(" ({words})")).unwrap_or_default()
}

/// As good as signed where a fact binds nobody.
fn bound(fact: &Fact, names: Names) -> Names {
    let is_binding = matches!(
        fact,
        Fact::Released { .. }
            | Fact::Conceded { .. }
            | Fact::Supervised { .. }
            | Fact::VerifierNamed { .. }
            | Fact::Agreed { .. }
    );
    match fact {
        // Nobody signs as a witness, in a shop whose people sign neither.
        Fact::Witnessed { .. } if names == Names::Signed => Names::OfStaff,
        Fact::Witnessed { .. } => names,
        _ if is_binding => names,
        _ => Names::Signed,
    }
}
