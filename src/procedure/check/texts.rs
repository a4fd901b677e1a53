//! Every text of a file of each kind that a person reads or that stands in a key.

use crate::procedure::step::{Kind, Piece};
use crate::procedure::{
    AnswerTree, AnswersFile, Ask, At, BenchFile, CircuitFile, Equipment, Expression, GivenAnswer,
    ModelFile, People, Procedure,
};

/// Calls `see` with every text of a people file.
pub(super) fn of_people<'a>(people: &'a People, see: &mut dyn FnMut(&'a At<String>)) {
    see(&people.people);
    people.signers.iter().for_each(&mut *see);
    people.roles.iter().for_each(|(role, _)| see(role));
    for person in &people.staff {
        [&person.id, &person.name].into_iter().chain(&person.roles).for_each(&mut *see);
        person.key.iter().for_each(&mut *see);
        person.competent.iter().for_each(|(class, _)| see(class));
    }
}

/// Calls `see` with every text of a procedure, formulas and names included.
pub(super) fn of_procedure<'a>(procedure: &'a Procedure, see: &mut dyn FnMut(&'a At<String>)) {
    let head = [&procedure.procedure, &procedure.title, &procedure.run_by];
    let optional = [&procedure.approved_by, &procedure.scope, &procedure.class];
    head.into_iter().chain(optional.into_iter().flatten()).for_each(&mut *see);
    for (name, ask) in procedure.asks.iter() {
        see(name);
        of_ask(ask, see);
    }
    for (name, expression) in procedure.work_out.iter() {
        see(name);
        see(&expression.text);
    }
    for (name, point) in procedure.charge_points.iter() {
        see(name);
        see(&point.at);
    }
    see(&procedure.known_source.what);
    procedure.known_source.function.iter().for_each(&mut *see);
    of_stages(procedure, see);
}

fn of_ask<'a>(ask: &'a Ask, see: &mut dyn FnMut(&'a At<String>)) {
    see(&ask.ask);
    [&ask.group, &ask.find, &ask.example].into_iter().flatten().for_each(&mut *see);
    if let Some(unknown) = &ask.unknown {
        [&unknown.take, &unknown.then].into_iter().for_each(&mut *see);
    }
    if let Some(offer) = &ask.offer {
        [&offer.value.text, &offer.basis].into_iter().for_each(&mut *see);
        for (name, input) in offer.from.iter() {
            see(name);
            of_ask(input, see);
        }
    }
}

fn of_stages<'a>(procedure: &'a Procedure, see: &mut dyn FnMut(&'a At<String>)) {
    let mut part = |part: Piece<'a>| match part {
        Piece::Text(text) => see(text),
        Piece::Quantity { expression: Expression { text, .. }, .. }
        | Piece::Within { expression: Expression { text, .. }, .. } => see(text),
    };
    for stage in &procedure.stages {
        part(Piece::Text(&stage.stage));
        part(Piece::Text(&stage.title));
        if let Some(reason) = stage.ceiling.as_ref().and_then(|ceiling| ceiling.reason.as_ref()) {
            part(Piece::Text(reason));
        }
        if let Some(hazard) = &stage.hazard {
            hazard.visit(&mut part);
        }
        if let Some(hold) = &stage.hold {
            hold.visit(&mut part);
        }
        for (point, _) in stage.while_on.iter() {
            part(Piece::Text(point));
        }
        for step in &stage.steps {
            part(Piece::Text(&step.step));
            step.visit(&mut part);
        }
    }
}

/// Calls `see` with every text of an equipment file.
pub(super) fn of_equipment<'a>(equipment: &'a Equipment, see: &mut dyn FnMut(&'a At<String>)) {
    see(&equipment.equipment);
    see(&equipment.serial);
    equipment.incomplete.iter().for_each(&mut *see);
    equipment.remarks.iter().for_each(&mut *see);
    for (name, fact) in equipment.facts.iter() {
        see(name);
        see(fact);
    }
    for (name, parts) in equipment.parts.iter() {
        see(name);
        parts.iter().for_each(&mut *see);
    }
}

/// Calls `see` with every text of a bench file but its commands, which no person reads.
pub(super) fn of_bench<'a>(bench: &'a BenchFile, see: &mut dyn FnMut(&'a At<String>)) {
    see(&bench.bench);
    for (name, instrument) in bench.instruments.iter() {
        see(name);
        see(&instrument.what);
        see(&instrument.serial);
        instrument.functions.iter().for_each(|(name, _)| see(name));
        instrument.channels.iter().for_each(|(name, _)| see(name));
        instrument
            .connection
            .iter()
            .filter_map(|connection| connection.identity.as_ref())
            .for_each(&mut *see);
    }
}

/// Calls `see` with every text of an answers file.
pub(super) fn of_answers<'a>(file: &'a AnswersFile, see: &mut dyn FnMut(&'a At<String>)) {
    file.scenario.iter().chain(&file.operator).for_each(&mut *see);
    of_tree(&file.answers, see);
}

fn of_tree<'a>(tree: &'a AnswerTree, see: &mut dyn FnMut(&'a At<String>)) {
    match tree {
        AnswerTree::Leaf(GivenAnswer::Text(text)) => see(text),
        AnswerTree::Leaf(GivenAnswer::InTurn(texts)) => texts.iter().for_each(&mut *see),
        // Numbers and truth values have no hidden characters.
        AnswerTree::Leaf(GivenAnswer::Written(_)) => {}
        AnswerTree::Branch(pairs) => {
            for (key, below) in pairs {
                see(key);
                of_tree(below, see);
            }
        }
    }
}

/// Calls `see` with every text of a model file.
pub(super) fn of_model<'a>(model: &'a ModelFile, see: &mut dyn FnMut(&'a At<String>)) {
    see(&model.simulates);
    model.quantities.iter().for_each(|(name, _)| see(name));
    model.controls.iter().for_each(|(name, _)| see(name));
    model.loads.iter().for_each(|(name, _)| see(name));
    for (key, words) in model.looks.iter() {
        see(key);
        see(words);
    }
    for (name, fault) in model.faults.iter() {
        [name, &fault.says, &fault.shows_at].into_iter().for_each(&mut *see);
        fault.looks.iter().for_each(|(_, words)| see(words));
    }
    model.formulas().for_each(|expression| see(&expression.text));
}

/// Calls `see` with every text of a circuit file.
pub(super) fn of_circuit<'a>(file: &'a CircuitFile, see: &mut dyn FnMut(&'a At<String>)) {
    [&file.circuit, &file.rehearses, &file.netlist].into_iter().for_each(&mut *see);
    for (name, source) in file.sources.iter() {
        see(name);
        see(&source.element);
    }
    for (name, point) in file.points.iter() {
        see(name);
        see(point);
    }
    file.readings.iter().chain(file.given.iter()).for_each(|(key, _)| see(key));
    for (name, control) in file.controls.iter() {
        see(name);
        see(&control.element);
        control.set.iter().for_each(|(key, _)| see(key));
        control.until.iter().for_each(|(key, _)| see(key));
    }
    for (name, tolerance) in file.tolerances.iter() {
        see(name);
        see(&tolerance.within);
        tolerance.moves.iter().for_each(&mut *see);
    }
    for (name, part) in file.parts.iter() {
        see(name);
        part.position.iter().for_each(&mut *see);
    }
    file.formulas().for_each(|expression| see(&expression.text));
}
