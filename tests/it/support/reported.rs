//! A run read back from its record, with what a report is made of, to be changed before the report is made.

use std::collections::BTreeMap;
use std::path::Path;

use wattstep::test_points::journal;
use wattstep::test_points::procedure::{
    BenchFile, Equipment, Procedure, read_bench, read_equipment, read_procedure,
};
use wattstep::test_points::record::{Entry, Run};
use wattstep::test_points::report::{
    Audience, Document, Issuer, Photo, ReportSubject, Seal, report,
};

use super::bench::Bench;

/// A run and what a report is made of.
pub(crate) struct Reported {
    pub(crate) run: Run,
    pub(crate) procedure: Procedure,
    pub(crate) equipment: Option<Equipment>,
    pub(crate) bench: Option<BenchFile>,
    pub(crate) seal: Seal,
    pub(crate) photos: BTreeMap<String, Photo>,
    pub(crate) issuer: Issuer,
}

impl Reported {
    /// Reads the run of a record.
    pub(crate) fn read(path: &Path) -> Self {
        let contents = journal::read_file::<Entry>(path).unwrap();
        let run = Run::fold(&contents.entries).unwrap();
        let opening = &run.opening;
        let procedure = read_procedure(&opening.procedure.text).unwrap();
        let equipment =
            opening.equipment.as_ref().map(|provided| read_equipment(&provided.text).unwrap());
        let bench = opening.bench.as_ref().map(|provided| read_bench(&provided.text).unwrap());
        let lines = contents.entries.len();
        let seal = Seal { head: contents.head, lines, ..Seal::default() };
        let (photos, issuer) = (BTreeMap::new(), Issuer::default());
        Self { run, procedure, equipment, bench, seal, photos, issuer }
    }

    /// The good scripted run of the lantern.
    pub(crate) fn lantern() -> Self {
        let bench = Bench::new();
        bench.run("good.yaml").any_out().exit(0);
        Self::read(&bench.record().path)
    }

    /// The good scripted run of the bundled amplifier, with its equipment and bench files.
    pub(crate) fn amplifier() -> Self {
        let bench = Bench::new();
        amplifier_run(&bench);
        Self::read(&bench.record().path)
    }

    pub(crate) fn subject(&self) -> ReportSubject<'_> {
        ReportSubject {
            run: &self.run,
            procedure: &self.procedure,
            equipment: self.equipment.as_ref(),
            bench: self.bench.as_ref(),
            seal: &self.seal,
            photos: &self.photos,
            issuer: &self.issuer,
        }
    }

    pub(crate) fn document(&self) -> Document {
        self.document_for(Audience::Shop)
    }

    pub(crate) fn document_for(&self, audience: Audience) -> Document {
        report(&self.subject(), audience)
    }
}

/// A scripted run of the bundled amplifier.
pub(crate) fn amplifier_run(bench: &Bench) {
    let folder = super::PROCEDURES;
    let equipment = format!("{folder}/amplifier-class-ab/equipment.yaml");
    let answers = format!("{folder}/amplifier-class-ab/good.answers.yaml");
    let meters = format!("{folder}/quillmere.bench.yaml");
    let arguments = ["run", "amplifier-class-ab", "--equipment", &equipment, "--answers", &answers];
    bench.wattstep(&arguments).args(&["--bench", &meters]).any_out().exit(0);
}
