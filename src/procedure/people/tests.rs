#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails loudly")]

use super::{People, Permission, identity};
use crate::procedure::{Day, read_people};
use crate::record::Duty;
use crate::record::PersonRefusal;

/// The shop of these tests. Invented.
const SHOP: &str = "format: 1
people: A shop for a test (invented)
signers: shop.allowed_signers
roles:
  safety-tester: {prove_dead: alone, safety_test: alone}
  technician: {energise: supervised}
staff:
  ash@shop.example: {name: Ash Trial, roles: [apprentice], competent: {amplifier: 2027-03-31}}
  bea@shop.example: {name: Bea Trial, roles: [Technician], competent: {amplifier: 2027-03-31}}
  cas@shop.example:
    name: Cas Trial
    aliases: [The Boss]
    roles: [supervisor]
    key: keys/cas
    competent: {amplifier: 2027-03-31, lamp: 2026-12-31}
  dee@shop.example: {name: Dee Trial, roles: [apprentice, safety-tester], competent: {amplifier: 2027-03-31}}
";

fn shop() -> People {
    read_people(SHOP).unwrap()
}

fn day(text: &str) -> Day {
    text.parse().unwrap()
}

#[test]
fn a_person_is_found_by_name_and_by_identity_and_keeps_both() {
    let shop = shop();
    for meant in [
        "cas trial",
        " CAS TRIAL ",
        "cas@shop.example",
        "the boss",
        "C\u{430}s  Tri\u{430}l",
        "C\u{e1}s Trial",
    ] {
        let found = shop.find(meant).unwrap();
        assert_eq!((found.id.as_str(), found.name.as_str()), ("cas@shop.example", "Cas Trial"));
        assert_eq!(found.key.as_ref().unwrap().value, "keys/cas");
    }
    for nobody in ["", "  ", "--", "cas", "Cas Trial-Error"] {
        assert!(shop.find(nobody).is_none(), "`{nobody}`");
    }
    let two = SHOP.replace("Bea Trial", "Cai Trial");
    let two = read_people(&two).unwrap();
    assert!(two.find("C. Trial").is_none(), "that could be two people");
    assert_eq!(shop.find("C. Trial").unwrap().name.as_str(), "Cas Trial");
    assert_eq!(shop.signers.unwrap().value, "shop.allowed_signers");
}

#[test]
fn the_matrix_of_roles_is_as_published_and_as_the_shop_changes_it() {
    use Permission::{Alone, No, Supervised};
    let shop = shop();
    let on = day("2027-03-31");
    for (name, row) in [
        ("ash trial", [Supervised, Supervised, Supervised, No, No, Supervised, No]),
        ("bea trial", [Supervised, Alone, Alone, No, No, Alone, No]),
        ("cas trial", [Alone, Alone, Alone, Alone, Alone, Alone, Alone]),
        ("dee trial", [Supervised, Alone, Alone, No, No, Supervised, No]),
    ] {
        let person = shop.find(name).unwrap();
        let may = Duty::ALL.map(|duty| shop.may(person, duty, "amplifier", on));
        assert_eq!(may, row, "{name}");
    }
}

#[test]
fn a_competence_holds_to_the_end_of_its_last_day_and_nobody_may_do_anything_after() {
    let shop = shop();
    let cas = shop.find("cas trial").unwrap();
    assert_eq!(shop.admits(cas, "lamp", day("2026-12-31")), Ok(()));
    let (name, class) = ("Cas Trial".to_owned(), "lamp".to_owned());
    let last = day("2026-12-31");
    let late = day("2027-01-01");
    assert_eq!(
        shop.admits(cas, "lamp", late),
        Err(PersonRefusal::Expired { name, class, last: last.to_string() })
    );
    for (class, on) in [("lamp", late), ("press", last)] {
        assert!(shop.admits(cas, class, on).is_err(), "{class}");
        for duty in Duty::ALL {
            assert_eq!(shop.may(cas, duty, class, on), Permission::No, "{class} {duty:?}");
        }
        assert!(!shop.releases(cas, "supervisor", class, on), "{class}");
    }
}

#[test]
fn a_refusal_says_who_what_and_when() {
    let shop = shop();
    let on = day("2027-01-01");
    for (name, class, said) in [
        ("Eve Trial", "amplifier", "Eve Trial is not on the staff of the people file"),
        ("ash trial", "lamp", "Ash Trial has no competence for lamp in the people file"),
        ("cas trial", "lamp", "the competence of Cas Trial for lamp ran out after 2026-12-31"),
    ] {
        assert_eq!(shop.admitted(name, class, on).unwrap_err().to_string(), said);
    }
    assert_eq!(shop.admitted("bea trial", "Amplifier", on).unwrap().id.value, "bea@shop.example");
}

#[test]
fn a_hold_is_released_with_the_role_it_names_or_with_the_right_where_nobody_knows_the_role() {
    let shop = shop();
    let on = day("2027-01-01");
    for (role, may_release) in [
        ("supervisor", &["cas"][..]),
        ("Safety tester", &["dee"][..]),
        ("technician", &["bea"][..]),
        ("owner", &["cas"][..]),
    ] {
        let who = ["ash", "bea", "cas", "dee"].into_iter().filter(|name| {
            let person = shop.find(&format!("{name} trial")).unwrap();
            shop.releases(person, role, "amplifier", on)
        });
        assert_eq!(who.collect::<Vec<_>>(), may_release, "{role}");
    }
}

#[test]
fn the_known_roles_are_known_for_every_duty() {
    let shop = shop();
    for role in super::KNOWN_ROLES {
        assert!(Duty::ALL.iter().all(|duty| shop.role(role, *duty).is_some()), "{role}");
    }
    assert!(!shop.has_role("owner"));
    assert_eq!(identity("Safety-Tester"), identity("safety tester"));
    assert!(shop.staff[0].competent.iter().count() == 1);
}
