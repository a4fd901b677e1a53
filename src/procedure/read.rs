//! The one reader for the files that people write: each kind from its text.

use serde::de::DeserializeOwned;

use super::check::wrong_kind;
use super::yaml::read_yaml;
use super::{
    AnswersFile, BenchFile, CircuitFile, Equipment, FileKind, ModelFile, People, Procedure,
};
use crate::diagnostic::Finding;

/// Reads a procedure.
///
/// # Errors
/// One finding: the first place where the text is not a procedure.
pub fn read_procedure(text: &str) -> Result<Procedure, Finding> {
    read(FileKind::Procedure, text)
}

/// Reads an equipment file.
///
/// # Errors
/// One finding: the first place where the text is not an equipment file.
pub fn read_equipment(text: &str) -> Result<Equipment, Finding> {
    read(FileKind::Equipment, text)
}

/// Reads a bench file.
///
/// # Errors
/// One finding: the first place where the text is not a bench file.
pub fn read_bench(text: &str) -> Result<BenchFile, Finding> {
    read(FileKind::Bench, text)
}

/// Reads a people file.
///
/// # Errors
/// One finding: the first place where the text is not a people file.
pub fn read_people(text: &str) -> Result<People, Finding> {
    read(FileKind::People, text)
}

/// Reads an answers file.
///
/// # Errors
/// One finding: the first place where the text is not an answers file.
pub fn read_answers(text: &str) -> Result<AnswersFile, Finding> {
    read(FileKind::Answers, text)
}

/// Reads a model file.
///
/// # Errors
/// One finding: the first place where the text is not a model file.
pub fn read_model(text: &str) -> Result<ModelFile, Finding> {
    read(FileKind::Model, text)
}

/// Reads a circuit file.
///
/// # Errors
/// One finding: the first place where the text is not a circuit file.
pub fn read_circuit(text: &str) -> Result<CircuitFile, Finding> {
    read(FileKind::Circuit, text)
}

/// Tells of which kind a text is.
///
/// # Errors
/// A finding: the text is not YAML, or none of its keys tells.
pub fn kind_of(text: &str) -> Result<FileKind, Finding> {
    match FileKind::told_by(text) {
        Some((kind, _)) => Ok(kind),
        None => Err(wrong_kind::untold(text)),
    }
}

/// A text of another kind is told as that, and not by the first key that has no place here.
fn read<T: DeserializeOwned>(kind: FileKind, text: &str) -> Result<T, Finding> {
    read_yaml(text).map_err(|finding| wrong_kind::instead_of(kind, text).unwrap_or(finding))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;
    use crate::procedure::bundled;

    const PEOPLE: &str = include_str!("../../procedures/quillmere.people.yaml");
    const ANSWERS: &str = include_str!("../../procedures/regulator-board/good.answers.yaml");
    const CIRCUIT: &str = "format: 1\ncircuit: A stage\nrehearses: a\nnetlist: a.cir\nsources: {}\npoints: {}\nreadings: {}\nparts: {}\n";

    /// A sound text of each kind.
    fn texts() -> [(FileKind, &'static str); 7] {
        let name = "regulator-board";
        [
            (FileKind::Procedure, bundled::text(name).unwrap()),
            (FileKind::Equipment, bundled::equipment(name).unwrap()),
            (FileKind::Bench, bundled::SIMULATED_BENCH),
            (FileKind::People, PEOPLE),
            (FileKind::Answers, ANSWERS),
            (FileKind::Model, bundled::model(name).unwrap()),
            (FileKind::Circuit, CIRCUIT),
        ]
    }

    #[test]
    fn a_file_tells_its_kind_by_its_own_key() {
        for (kind, text) in texts() {
            assert_eq!(kind_of(text), Ok(kind));
            let torn = format!("{text}\nnever: [closed\n");
            assert_eq!(kind_of(&torn), Ok(kind), "the rest may be broken");
            let key = kind.key();
            for other in [
                format!("{{format: 1, {key}: a}}"),
                format!("format: 1\n\"{key}\": a\n"),
                format!("# bench: no key\nnote: |\n  people: none\n{key}: a\n"),
                format!("\u{feff}{key} : a\r\n"),
            ] {
                assert_eq!(kind_of(&other), Ok(kind), "{other}");
            }
        }
    }

    #[test]
    fn a_file_of_another_kind_is_named_with_where_it_belongs() {
        for (kind, text) in texts() {
            let refusals = [
                (FileKind::Procedure, read_procedure(text).err()),
                (FileKind::Equipment, read_equipment(text).err()),
                (FileKind::Bench, read_bench(text).err()),
                (FileKind::People, read_people(text).err()),
                (FileKind::Answers, read_answers(text).err()),
                (FileKind::Model, read_model(text).err()),
                (FileKind::Circuit, read_circuit(text).err()),
            ];
            for (expected, refused) in refusals {
                if expected == kind {
                    assert_eq!(refused, None);
                    continue;
                }
                let refused = refused.unwrap();
                let message = format!("this is {}, not {}", kind.words(), expected.words());
                assert_eq!((refused.code, refused.message), ("YML013", message));
                let span = refused.span.unwrap();
                assert_eq!(text.get(span.start..span.end), Some(kind.key()));
                assert_eq!(refused.help.as_deref(), Some(kind.place()));
            }
        }
    }

    #[test]
    fn a_file_that_tells_no_kind_is_refused_with_the_keys_of_all() {
        let untold = kind_of("format: 1\ntitle: nothing else\n").unwrap_err();
        let help = untold.help.unwrap();
        for kind in FileKind::ALL {
            assert!(help.contains(&format!("`{}` ({})", kind.key(), kind.words())), "{help}");
        }
        let slip = kind_of("format: 1\nprocedrue: a\n").unwrap_err();
        assert_eq!(slip.help.as_deref(), Some("did you mean `procedure`?"));
        let large = "a".repeat(crate::procedure::BYTES_MAX + 1);
        for (text, code) in
            [("", "YML001"), ("a: [1\n", "YML001"), ("- a\n", "YML005"), (&large, "YML001")]
        {
            assert_eq!(kind_of(text).unwrap_err().code, code);
        }
    }
}
