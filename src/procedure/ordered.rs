//! A YAML mapping that keeps the order it was written in.

use std::fmt;
use std::marker::PhantomData;

use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};

use super::At;

/// Named values in the order they were written; a value may use those above it.
#[derive(Clone, Debug, PartialEq)]
pub struct Ordered<V>(Vec<(At<String>, V)>);

impl<V> Default for Ordered<V> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<V> Ordered<V> {
    /// The names and values in order.
    pub fn iter(&self) -> impl Iterator<Item = (&At<String>, &V)> {
        self.0.iter().map(|(name, value)| (name, value))
    }

    /// The value of a name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&V> {
        self.iter().find(|(at, _)| at.value == name).map(|(_, value)| value)
    }

    /// Tells whether there is nothing in it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl<V> IntoIterator for Ordered<V> {
    type Item = (At<String>, V);
    type IntoIter = std::vec::IntoIter<Self::Item>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}

impl<'de, V: Deserialize<'de>> Deserialize<'de> for Ordered<V> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Pairs<V>(PhantomData<V>);

        impl<'de, V: Deserialize<'de>> Visitor<'de> for Pairs<V> {
            type Value = Ordered<V>;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a mapping of names to values")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Ordered<V>, A::Error> {
                let mut pairs = Vec::new();
                while let Some(pair) = map.next_entry()? {
                    pairs.push(pair);
                }
                Ok(Ordered(pairs))
            }
        }

        deserializer.deserialize_map(Pairs(PhantomData))
    }
}

#[cfg(test)]
impl<V: schemars::JsonSchema> schemars::JsonSchema for Ordered<V> {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        format!("Named_{}", V::schema_name()).into()
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        <std::collections::BTreeMap<String, V>>::json_schema(generator)
    }
}
