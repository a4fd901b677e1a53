//! Where the tests and benchmarks in `tests/` put their probes: what they reach of each room, and no more.
//!
//! They are crates of their own and see only what is public. The rooms are not, so that the compiler tells of everything
//! that the program itself has no use for; but what stands here counts as used. So a line belongs here only as long as
//! something in `tests/` needs it.

pub mod archive {
    //! Of the index of many records.
    pub use crate::archive::{Archive, Filter, INDEX_NAME, Proposal, Sides, Thoroughness, Trend};
}

pub mod bench {
    //! Of instruments and sources, and of the bench of rehearsals.
    pub use crate::bench::instruments::{Instruments, Order, SimulatedAddresses};
    pub use crate::bench::link::{Link, LinkError, Message};
    pub use crate::bench::simulated::{Rehearsal, SimulatedBench};
    pub use crate::bench::trip::OffSwitch;
    pub use crate::bench::watch::thin::SPANS_MAX;
    pub use crate::bench::watch::{Sampler, Sampling, run};
    pub use crate::bench::{
        Bench, BenchClock, Go, Guard, Limits, Live, Lost, Off, SamplingEnd, TripHandle, Watched,
        Work,
    };
}

pub mod circuit {
    //! Of the circuit simulator at work.
    pub use crate::circuit::Engine;
}

pub mod cli {
    //! Of the program.
    pub use crate::cli::Exit;
}

pub mod diagnostic {
    //! Of texts for a terminal.
    pub use crate::diagnostic::Style;
}

pub mod journal {
    //! Of the files of a record and of the register.
    pub use crate::journal::register::{Change, REGISTER, RecordEnd, Register, Registration};
    pub use crate::journal::{Disk, FileDisk, Journal, read, read_file, sha256_hex};
}

pub mod netlist {
    //! Of circuits and their faults.
    pub use crate::netlist::{
        Case, CircuitPoint, FAULTS, FeedState, Netlist, PlacedFault, SourceFeed,
    };
}

pub mod physics {
    //! Of what is compared with a circuit simulator.
    pub use crate::physics::lamp::Lamp;
    pub use crate::physics::rectifier::{Diode, Junction, Load, RailSupply, Topology};
}

pub mod procedure {
    //! Of the files that people write, and their checks.
    pub use crate::procedure::act::Guard;
    pub use crate::procedure::check::{Subject, all_pages, check, check_equipment, check_people};
    pub use crate::procedure::{
        BenchFile, Connection, Equipment, ModelFile, OutputValue, Point, Procedure, Step, bundled,
        read_bench, read_equipment, read_model, read_people, read_procedure,
    };
}

pub mod quantity {
    //! Of numbers with a dimension.
    pub use crate::quantity::{Dimension, Quantity, Reading, Unit};
}

pub mod record {
    //! Of the words of a record.
    pub use crate::record::{
        Amendment, CourseItem, Decision, Energy, Entry, Event, FORMAT, Fact, Happening, Mode,
        Moment, Opening, Origin, Outcome, Provided, Run, SampleSpan, Source, Standing, StopReason,
        Trace, VoidedRecord,
    };
}

pub mod report {
    //! Of the reports.
    pub use crate::report::photo::Photo;
    pub use crate::report::{
        Audience, Document, Issuer, ReportSubject, Seal, csv, html, json_lines, judged, pdf, plain,
        report, whole,
    };
}

pub mod runner {
    //! Of events in and effects out.
    pub use crate::runner::{Effect, Expects, Question, Runner};
}

pub mod window {
    //! Of limits.
    pub use crate::window::Bounds;
}
