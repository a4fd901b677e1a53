//! The source of the program, as the tests of how it is laid out read it.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// A file of the program, without comments and without its tests.
pub(crate) struct Source {
    /// Its path below `src`.
    pub(crate) path: PathBuf,
    pub(crate) code: String,
}

pub(crate) fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

pub(crate) fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path));
        } else {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// The modules that a file declares for tests alone, as paths below `src` without an ending.
fn test_modules(path: &Path, text: &str) -> Vec<PathBuf> {
    let is_own_folder = ["mod.rs", "lib.rs", "main.rs"].iter().any(|name| path.ends_with(name));
    let folder =
        if is_own_folder { path.parent().unwrap().to_owned() } else { path.with_extension("") };
    let lines: Vec<_> = text.lines().map(str::trim).collect();
    let declared = lines.windows(2).filter(|two| two[0] == "#[cfg(test)]");
    let names = declared.filter_map(|two| two[1].strip_prefix("mod ")?.strip_suffix(';'));
    names.map(|name| folder.join(name)).collect()
}

pub(crate) fn sources() -> Vec<Source> {
    let src = root().join("src");
    let files: Vec<_> = files(&src)
        .into_iter()
        .filter(|path| path.extension().is_some_and(|e| e == "rs"))
        .collect();
    let texts: Vec<_> = files
        .iter()
        .map(|path| {
            (path.strip_prefix(&src).unwrap().to_owned(), fs::read_to_string(path).unwrap())
        })
        .collect();
    let tests: Vec<_> = texts.iter().flat_map(|(path, text)| test_modules(path, text)).collect();
    assert!(tests.len() >= 5, "test modules are not found any more: {tests:?}");
    let is_test = |path: &Path| {
        tests.iter().any(|module| path.with_extension("") == *module || path.starts_with(module))
    };
    texts
        .into_iter()
        .filter(|(path, _)| !is_test(path))
        .map(|(path, text)| Source { path, code: code(&text) })
        .collect()
}

/// A text without its line comments and its inline tests, which stand at its end.
fn code(text: &str) -> String {
    let text = text.split("#[cfg(test)]\nmod tests {").next().unwrap();
    let lines = text.lines().map(|line| line.split("//").next().unwrap());
    lines.map(|line| format!("{line}\n")).collect()
}

impl Source {
    /// The room the file is in; none for those of the crate itself.
    pub(crate) fn room(&self) -> Option<String> {
        let mut parts = self.path.iter();
        let first = parts.next()?.to_str()?;
        parts.next().map(|_| first.to_owned())
    }

    /// The rooms it names.
    pub(crate) fn uses(&self) -> BTreeSet<String> {
        let after = self.code.split("crate::").skip(1);
        let is_word = |c: char| c.is_alphanumeric() || c == '_';
        after.map(|rest| rest.chars().take_while(|c| is_word(*c)).collect()).collect()
    }
}
