//! The static checks of a procedure and of the files beside it: one file each, with its page of explanation beside it.
//!
//! May use what `procedure` may. A new check is a file with its page beside it, its `mod`, and a line in [`CHECKS`].
//!
//! Always true: a code and its name mean one thing for ever, every finding has a page, and a check that can't work a
//! value out stays silent.

mod act_in_a_reading;
mod aimless_control;
mod blind_safety_test;
mod by_hand_with_item;
mod careless_accuracy;
mod careless_presence;
mod ceiling_without_bound;
mod channels_without_supply;
mod charge_without_point;
mod checking;
mod clause;
mod coarse_meter;
mod commands;
mod compare_without_two_readings;
mod condition_in_text;
mod confirm_without_one_answer;
mod contradicted_guard;
mod contradicting_limits;
mod contradicting_text;
mod defeated_protection;
mod definition;
mod doubled_entry;
mod doubled_name;
mod doubled_number;
mod doubled_output;
mod doubled_person;
mod empty_notice;
mod energised;
mod energising;
mod energy_in_a_dead_stage;
mod falling_ceiling;
mod families;
mod feeble_known_source;
mod forbidden_item;
mod generous_ceiling;
mod guarded_without_meter;
mod hands_in_while_live;
mod harmless_answer;
mod idle_connection;
mod incredible_ceiling;
mod incredible_charge;
mod incredible_limit;
mod incredible_range;
mod inside;
mod invisible_character;
mod item_left_fitted;
mod jumping_ceiling;
mod key_without_signers;
mod keyless_person;
mod lasting_proof;
mod left_incomplete;
mod like_without_reading;
mod limit_in_text;
mod limiting_without_one_form;
mod live_dead_limit;
mod lonely_mains;
mod long_stage;
mod look_without_both_answers;
mod low_protection;
mod mains_without_hold;
mod mains_without_insulation;
mod mains_without_lead_and_earth;
mod mains_without_point;
mod misplaced_by_hand;
mod misplaced_dependence;
mod misplaced_rule_set;
mod misplaced_source_resistance;
mod misplaced_verification;
mod missing_as_left;
mod missing_final_tests;
mod missing_key_file;
mod missing_release;
mod missing_rung;
mod mixed_simulation;
mod moved_too_late;
mod names;
mod netlist_out_of_folder;
mod nobody_to_supervise;
mod not_a_formula;
mod off_at_the_set;
mod off_like_on;
mod ohms_on_live;
mod open_part_in_circuit;
mod open_towards_harm;
mod open_with_upper_limit;
mod outputs;
mod overrated_ceiling;
mod oversized_fuse;
mod part_without_percent;
mod part_without_rating;
mod parts;
mod parts_from_nowhere;
mod passive_test;
mod path_out_of_folder;
mod proof_while_live;
mod quoted_identity;
mod reading_with_source_off;
mod reading_without_basis;
mod reading_without_circuit;
mod reading_without_source;
mod reading_without_window;
mod repeated_confirmation;
mod self_released_hold;
mod setting_above_ceiling;
mod several_readings;
mod shared_address;
mod shared_key;
mod short_discharge;
mod shorting_ammeter;
mod shorts;
mod source_left_on;
mod source_never_on;
mod steady_without_limit;
mod step_without_one_kind;
mod subject;
mod sudden_supply;
mod switching_in_words;
mod texts;
mod time_in_text;
mod too_many_circuits;
mod trial;
mod trivial_confirmation;
mod turned_text;
mod two_actions;
mod unasked_fact;
mod unasked_function;
mod unbounded_energy;
mod uncategorised_meter;
mod unconfirmed_danger;
mod understated_hazard;
mod undischarged_point;
mod unfailable_window;
mod unfilled_command;
mod unfit_aid;
mod unfit_fact;
mod unfit_guard_band;
mod unfit_name;
mod unfit_point;
mod unfit_range;
mod unfit_rating;
mod unfit_safety_limit;
mod unfit_tolerance;
mod unguardable_point;
mod unjudged_proof;
mod unjudged_reading;
mod unknown_charge_points;
mod unknown_element;
mod unknown_format;
mod unknown_function;
mod unknown_name;
mod unknown_output;
mod unknown_role;
mod unknown_value_in_text;
mod unmarked_question;
mod unmatched_hint;
mod unmoved_control;
mod unproved_tester;
mod unreachable_point;
mod unread_energy;
mod unreadable_netlist;
mod unrunnable_facts;
mod unselected_output;
mod unsendable_command;
mod unset_ceiling;
mod untold_limiting;
mod unused_fact;
mod unwarned_energy;
mod unwarned_step;
mod unworkable_ceiling;
mod unworkable_pace;
mod unworkable_time;
mod unworkable_value;
mod unwritable_name;
mod used;
mod vague_charge_point;
mod vague_known_source;
mod verification_without_limit;
mod wide_window;
mod window_above_ceiling;
mod window_without_one_form;
mod withdrawn_rules;
mod words;
mod work_without_proof_of_dead;
mod wrong_dimension;
pub(super) mod wrong_kind;
mod wrong_signal_word;

#[cfg(test)]
mod dangerous;
#[cfg(test)]
mod mistakes;
#[cfg(test)]
mod tests;

pub use checking::{
    all_pages, check, check_answers, check_bench, check_circuit, check_equipment, check_model,
    check_people, check_source, page,
};
pub use definition::Check;
pub use subject::{Keys, Subject};
pub use unreadable_netlist::read_netlist;

/// All checks.
pub const CHECKS: &[&Check] = &[
    &unknown_format::CHECK,
    &step_without_one_kind::CHECK,
    &parts_from_nowhere::CHECK,
    &look_without_both_answers::CHECK,
    &misplaced_dependence::CHECK,
    &misplaced_by_hand::CHECK,
    &harmless_answer::CHECK,
    &wrong_kind::CHECK,
    &left_incomplete::CHECK,
    &wrong_dimension::CHECK,
    &unknown_name::CHECK,
    &not_a_formula::CHECK,
    &doubled_name::CHECK,
    &unwritable_name::CHECK,
    &unfit_fact::CHECK,
    &unasked_fact::CHECK,
    &unworkable_time::CHECK,
    &several_readings::CHECK,
    &unmoved_control::CHECK,
    &unworkable_value::CHECK,
    &part_without_percent::CHECK,
    &unused_fact::CHECK,
    &incredible_range::CHECK,
    &withdrawn_rules::CHECK,
    &misplaced_rule_set::CHECK,
    &unrunnable_facts::CHECK,
    &unfit_aid::CHECK,
    &too_many_circuits::CHECK,
    &reading_without_window::CHECK,
    &reading_without_basis::CHECK,
    &window_without_one_form::CHECK,
    &contradicting_limits::CHECK,
    &like_without_reading::CHECK,
    &coarse_meter::CHECK,
    &unknown_function::CHECK,
    &guarded_without_meter::CHECK,
    &compare_without_two_readings::CHECK,
    &open_part_in_circuit::CHECK,
    &unfit_point::CHECK,
    &steady_without_limit::CHECK,
    &open_with_upper_limit::CHECK,
    &incredible_limit::CHECK,
    &unfit_guard_band::CHECK,
    &wide_window::CHECK,
    &unmatched_hint::CHECK,
    &unjudged_reading::CHECK,
    &window_above_ceiling::CHECK,
    &unfailable_window::CHECK,
    &open_towards_harm::CHECK,
    &misplaced_source_resistance::CHECK,
    &unbounded_energy::CHECK,
    &energy_in_a_dead_stage::CHECK,
    &falling_ceiling::CHECK,
    &jumping_ceiling::CHECK,
    &missing_rung::CHECK,
    &work_without_proof_of_dead::CHECK,
    &source_left_on::CHECK,
    &source_never_on::CHECK,
    &mains_without_lead_and_earth::CHECK,
    &item_left_fitted::CHECK,
    &long_stage::CHECK,
    &self_released_hold::CHECK,
    &moved_too_late::CHECK,
    &unguardable_point::CHECK,
    &contradicted_guard::CHECK,
    &careless_presence::CHECK,
    &setting_above_ceiling::CHECK,
    &unworkable_ceiling::CHECK,
    &reading_with_source_off::CHECK,
    &proof_while_live::CHECK,
    &unread_energy::CHECK,
    &incredible_ceiling::CHECK,
    &generous_ceiling::CHECK,
    &ceiling_without_bound::CHECK,
    &switching_in_words::CHECK,
    &by_hand_with_item::CHECK,
    &ohms_on_live::CHECK,
    &hands_in_while_live::CHECK,
    &forbidden_item::CHECK,
    &mains_without_hold::CHECK,
    &lasting_proof::CHECK,
    &lonely_mains::CHECK,
    &short_discharge::CHECK,
    &unset_ceiling::CHECK,
    &reading_without_source::CHECK,
    &sudden_supply::CHECK,
    &off_at_the_set::CHECK,
    &unwarned_energy::CHECK,
    &wrong_signal_word::CHECK,
    &unconfirmed_danger::CHECK,
    &understated_hazard::CHECK,
    &confirm_without_one_answer::CHECK,
    &unknown_charge_points::CHECK,
    &live_dead_limit::CHECK,
    &feeble_known_source::CHECK,
    &trivial_confirmation::CHECK,
    &repeated_confirmation::CHECK,
    &empty_notice::CHECK,
    &unwarned_step::CHECK,
    &defeated_protection::CHECK,
    &vague_known_source::CHECK,
    &uncategorised_meter::CHECK,
    &charge_without_point::CHECK,
    &vague_charge_point::CHECK,
    &mains_without_point::CHECK,
    &shorting_ammeter::CHECK,
    &incredible_charge::CHECK,
    &unreachable_point::CHECK,
    &undischarged_point::CHECK,
    &mains_without_insulation::CHECK,
    &unjudged_proof::CHECK,
    &unfit_safety_limit::CHECK,
    &unproved_tester::CHECK,
    &missing_final_tests::CHECK,
    &missing_release::CHECK,
    &missing_as_left::CHECK,
    &blind_safety_test::CHECK,
    &oversized_fuse::CHECK,
    &invisible_character::CHECK,
    &two_actions::CHECK,
    &unknown_value_in_text::CHECK,
    &condition_in_text::CHECK,
    &time_in_text::CHECK,
    &limit_in_text::CHECK,
    &act_in_a_reading::CHECK,
    &contradicting_text::CHECK,
    &turned_text::CHECK,
    &misplaced_verification::CHECK,
    &verification_without_limit::CHECK,
    &doubled_output::CHECK,
    &unfit_rating::CHECK,
    &unselected_output::CHECK,
    &unfilled_command::CHECK,
    &unsendable_command::CHECK,
    &untold_limiting::CHECK,
    &limiting_without_one_form::CHECK,
    &unworkable_pace::CHECK,
    &idle_connection::CHECK,
    &low_protection::CHECK,
    &unasked_function::CHECK,
    &shared_address::CHECK,
    &channels_without_supply::CHECK,
    &unknown_output::CHECK,
    &overrated_ceiling::CHECK,
    &off_like_on::CHECK,
    &doubled_number::CHECK,
    &unfit_range::CHECK,
    &mixed_simulation::CHECK,
    &unmarked_question::CHECK,
    &quoted_identity::CHECK,
    &careless_accuracy::CHECK,
    &unknown_role::CHECK,
    &doubled_person::CHECK,
    &nobody_to_supervise::CHECK,
    &unfit_name::CHECK,
    &path_out_of_folder::CHECK,
    &key_without_signers::CHECK,
    &doubled_entry::CHECK,
    &shared_key::CHECK,
    &keyless_person::CHECK,
    &missing_key_file::CHECK,
    &unreadable_netlist::CHECK,
    &unknown_element::CHECK,
    &reading_without_circuit::CHECK,
    &part_without_rating::CHECK,
    &netlist_out_of_folder::CHECK,
    &unfit_tolerance::CHECK,
    &aimless_control::CHECK,
];
