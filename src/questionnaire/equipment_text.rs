//! The equipment file that comes of the answers, with the questions as comments.

use super::questions::{FactAnswer, Questionnaire};
use crate::procedure::Ask;

/// Words that YAML readers take for something other than text.
const YAML_WORDS: [&str; 9] = ["true", "false", "null", "yes", "no", "on", "off", "y", "n"];

impl Questionnaire {
    /// The text of the file as it is kept until all is answered and looked over: it says so, and no run takes it.
    #[must_use]
    pub fn draft(&self) -> String {
        self.written(true)
    }

    /// The text of the whole file.
    #[must_use]
    pub fn text(&self) -> String {
        self.written(!self.is_complete())
    }

    fn written(&self, is_draft: bool) -> String {
        let procedure = &self.procedure;
        let name = one_line(&procedure.procedure);
        let mut text = format!(
            "# The facts about one piece of equipment, for the procedure {name}, revision {}.\n\
             # Correct here what is wrong: `wattstep check` looks at it again.\n\
             format: 1\n",
            procedure.revision.value
        );
        if is_draft {
            text.push_str(
                "# Left before the last question: `wattstep equipment new` goes on with it, and no run takes it.\n",
            );
            text.push_str(&format!("incomplete: {}\n", quoted(&procedure.procedure)));
        }
        let [name, serial] = &self.identity;
        text.push_str(&format!("equipment: {}\n", quoted(name.as_deref().unwrap_or_default())));
        text.push_str(&format!("serial: {}\n", quoted(serial.as_deref().unwrap_or_default())));
        if let Some(remarks) = &self.remarks {
            text.push_str(&format!("remarks: {}\n", quoted(remarks)));
        }
        text.push_str(&self.part("facts", |ask| !ask.parts));
        text.push_str(&self.part("parts", |ask| ask.parts));
        text
    }

    /// The answered questions of one kind under their key.
    fn part(&self, key: &str, is_meant: impl Fn(&Ask) -> bool) -> String {
        let mut text = String::new();
        let (mut group, mut shown) = (None, None);
        for ((name, ask), answer) in self.procedure.asks.iter().zip(&self.facts) {
            group = ask.group.as_ref().or(group);
            let Some(answer) = answer.as_ref().filter(|_| is_meant(ask)) else { continue };
            let heading = group.map(|group| one_line(group));
            if heading.is_some() && heading != shown {
                text.push_str(&format!("\n  # {}\n", heading.clone().unwrap_or_default()));
                shown = heading;
            }
            text.push_str(&format!("  # {}\n", one_line(&ask.ask)));
            text.push_str(&format!("  {}: {}\n", name.value, value(ask, answer)));
        }
        if text.is_empty() { text } else { format!("{key}:\n{}", text.trim_start_matches('\n')) }
    }
}

/// An answer as YAML, with how it came about behind it.
fn value(ask: &Ask, answer: &FactAnswer) -> String {
    let note = answer.note.as_ref().map_or_else(String::new, |of| format!("  # {}", one_line(of)));
    if ask.parts {
        let parts: Vec<_> = answer.text.split(',').map(|part| plain(part.trim())).collect();
        return format!("[{}]{note}", parts.join(", "));
    }
    format!("{}{note}", plain(&answer.text))
}

/// A text as YAML takes it for a text: with quotes where it needs them.
fn plain(text: &str) -> String {
    let is_usual = |c: char| c.is_alphanumeric() || " ._%/+-*^\u{b0}\u{b1}\u{b5}".contains(c);
    let starts_well = text.starts_with(|c: char| c.is_alphanumeric());
    let is_word = YAML_WORDS.contains(&text.to_lowercase().as_str());
    if starts_well && text.chars().all(is_usual) && !is_word {
        text.to_owned()
    } else {
        quoted(text)
    }
}

/// A text in double quotes, with everything escaped that YAML would take for something else.
fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

/// A text on one line, for a comment.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
