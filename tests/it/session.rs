//! A run typed by hand on a terminal.

use crate::support::bench::Bench;
use crate::support::desk::Desk;
use crate::support::terminal::Look;

#[test]
fn a_good_run_typed_by_hand_finishes() {
    let bench = Bench::new();
    let mut desk = Desk::run(&bench, &Look::usual());
    let code = desk.finish();
    println!("{}", desk.terminal.since(0));
    assert_eq!(code, 0);
}
