//! `set`: a source to bring up, to change or to switch off.

use serde::Deserialize;

use super::{Gives, Kind, Piece};
use crate::procedure::act::{Act, Keyed, Way, milliseconds};
use crate::procedure::{At, Expression, ValueLookup};
use crate::quantity::{Decimal, Dimension, Unit};
use crate::record::{Matter, Unworkable};
use crate::window::{Bounds, Within};

/// Whether the step switches the source on or off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Switching {
    /// The source comes on: from here on the equipment is live.
    On,
    /// The source goes off and is disconnected.
    Off,
}

/// A source to bring up, to change or to switch off. With `to`, the answer is the voltage seen.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Set {
    /// What to do at the source, in words.
    pub what: At<String>,
    /// On or off; a step with `to` is on.
    pub power: Option<At<Switching>>,
    /// The voltage to set.
    pub to: Option<Expression>,
    /// The outputs of a supply that it sets, by their names in the bench file; a connected supply then does it.
    #[serde(default)]
    pub channels: Vec<At<String>>,
    /// The time to take over it.
    pub over: Option<Expression>,
    /// How near the voltage seen has to be (default 5 %).
    pub within: Option<Expression>,
}

impl Set {
    /// Tells whether the step switches the source off.
    #[must_use]
    pub fn is_off(&self) -> bool {
        self.power.as_ref().is_some_and(|power| power.value == Switching::Off)
    }

    fn seen(&self, to: &Expression, values: &ValueLookup<'_>) -> Result<Act, Unworkable> {
        let target = to.evaluate(values)?;
        let within = self.within.as_ref().map(|w| w.evaluate(values)).transpose()?;
        let within = match within {
            Some(width) if width.dimension == Dimension::VOLTAGE => Within::Absolute(width),
            Some(ratio) => Within::Percent(ratio.value.shift(2)),
            None => Within::Percent(Decimal::new(5, 0)),
        };
        let bounds = Bounds::near(target, within)?;
        let over = self.over.as_ref().map(|over| over.evaluate(values)).transpose()?;
        let over_ms = over.as_ref().map(milliseconds).transpose()?.unwrap_or_default();
        let in_words = over.map(|time| format!(" over {}", time.engineering(3, None)));
        let what = format!(
            "{}: to {}{}, then read the voltage",
            self.what.value,
            target.engineering(3, None),
            in_words.unwrap_or_default()
        );
        let unit = Unit::base(Dimension::VOLTAGE);
        let channels: Vec<_> = self.channels.iter().map(|channel| channel.value.clone()).collect();
        let way = (!channels.is_empty()).then_some(Way::Ramp { channels, to: target, over_ms });
        Ok(Act::Read { what, unit, bounds, meter: None, way })
    }
}

impl Kind for Set {
    fn name(&self) -> &'static str {
        "set"
    }

    fn visit<'a>(&'a self, visit: &mut dyn FnMut(Piece<'a>)) {
        visit(Piece::Text(&self.what));
        for channel in &self.channels {
            visit(Piece::Text(channel));
        }
        if let Some(expression) = &self.to {
            visit(Piece::Quantity { key: "to", expression, dimension: Dimension::VOLTAGE });
        }
        if let Some(expression) = &self.over {
            visit(Piece::Quantity { key: "over", expression, dimension: Dimension::TIME });
        }
        if let Some(expression) = &self.within {
            visit(Piece::Within { key: "within", expression, dimension: Dimension::VOLTAGE });
        }
    }

    fn gives(&self) -> Option<Gives<'_>> {
        self.to.as_ref().map(Gives::Result)
    }

    fn acts(&self, values: &ValueLookup<'_>) -> Result<Vec<Keyed>, Unworkable> {
        if self.is_off() {
            return Ok(super::only(Act::SourceOff { what: self.what.value.clone() }));
        }
        let act = match &self.to {
            Some(to) => self.seen(to, values)?,
            None => Act::Do { what: self.what.value.clone() },
        };
        let energise = Keyed { matter: Some(Matter::Energise), act: Act::Energise };
        Ok(vec![energise, Keyed { matter: None, act }])
    }
}
