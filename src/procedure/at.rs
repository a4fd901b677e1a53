//! A value with its place in the file it came from.

use std::ops::Deref;

use serde::{Deserialize, Deserializer};

use crate::diagnostic::Span;

/// A value and where it was written, so that every complaint can point at it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct At<T> {
    /// The value.
    pub value: T,
    /// Where it was written.
    pub span: Span,
}

impl<T> Deref for At<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.value
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for At<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let spanned = serde_yaml::Spanned::<T>::deserialize(deserializer)?;
        Ok(Self { span: span_of(&spanned.referenced), value: spanned.value })
    }
}

/// Bytes of a location; an unknown location is the start of the file.
pub(super) fn span_of(location: &serde_yaml::Location) -> Span {
    let span = location.span();
    let Some(start) = span.byte_offset().and_then(|at| usize::try_from(at).ok()) else {
        return Span { start: 0, end: 0 };
    };
    let length = span.byte_len().and_then(|len| usize::try_from(len).ok()).unwrap_or(0);
    Span { start, end: start.saturating_add(length) }
}

#[cfg(test)]
impl<T: schemars::JsonSchema> schemars::JsonSchema for At<T> {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        T::schema_name()
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        T::json_schema(generator)
    }

    fn inline_schema() -> bool {
        T::inline_schema()
    }
}
