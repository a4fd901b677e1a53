//! A short procedure on a dead board: the same head, with the steps that a test is about.

/// The text of a procedure with one cold stage, in which the board is proved dead before these steps. Invented.
pub(crate) fn on_a_dead_board(procedure: &str, run_by: &str, steps: &str) -> String {
    format!(
        "
format: 1
procedure: {procedure}
revision: 1
title: On a dead board (invented)
run_by: {run_by}
charge_points:
  reservoir:
    at: Across the reservoir capacitor
    below: 2 V
    holds: {{capacitance: 1 uF, charged_to: 10 V, bleeder: 1 kohm}}
known_source: {{what: The 9 V test battery, between: [8 V, 10 V]}}
stages:
  - stage: cold
    title: Nothing connected
    source: none
    steps:
      - step: leads-off
        do: Take the leads off the board
      - step: proof
        prove_dead: Before hands go in
{}",
        steps.trim_start_matches('\n')
    )
}
