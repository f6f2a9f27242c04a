//! One figure of the table, and how two of them differ.

use crate::geom::{Box3, Length};
use std::cmp::Ordering;

/// A value with its unit.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Value {
    /// How many.
    Count(u64),
    /// A length, shown in millimetres.
    Length(Length),
    /// A volume in litres.
    Litres(f64),
    /// A mass in grams.
    Grams(f64),
    /// A point in millimetres: x, y, z. Ordered by its height.
    Point([f64; 3]),
    /// An amount in the user's currency.
    Money(f64),
}

/// Which way is an improvement.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Better {
    /// The less, the better.
    Less,
    /// The more, the better.
    More,
    /// Neither.
    Neither,
}

/// Whether a difference is an improvement.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sense {
    /// Better than the base.
    Better,
    /// Worse than the base.
    Worse,
    /// The same, or neither way is better.
    Even,
}

/// One figure of one arrangement.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Figure {
    /// Its value; with `missing`, that of what is known. `None` where nothing is
    /// known, or there is nothing to measure.
    pub value: Option<Value>,
    /// What is not known and therefore not in the value: 'mass of 3 parts not known'.
    pub missing: Option<String>,
    /// Where it is, or what it is made of; may be empty.
    pub note: String,
    /// The place to show.
    pub place: Option<Box3>,
}

/// How a figure differs from that of the base.
#[derive(Clone, PartialEq, Debug)]
pub struct Delta {
    /// With its sign: `+12.5`; `=` where they are equal.
    pub text: String,
    /// Whether that is better. Even where one of the two is not known in full.
    pub sense: Sense,
    /// True where one of the two figures is not known in full.
    pub partial: bool,
}

impl Value {
    /// What it is sorted by.
    pub fn key(&self) -> f64 {
        match self {
            Value::Count(n) => *n as f64,
            Value::Length(l) => l.as_mm(),
            Value::Litres(v) | Value::Grams(v) | Value::Money(v) => *v,
            Value::Point(p) => p[2],
        }
    }

    /// The figure without its unit.
    pub fn text(&self) -> String {
        match self {
            Value::Count(n) => n.to_string(),
            Value::Length(l) => l.text1(),
            Value::Litres(v) => format!("{v:.2}"),
            Value::Grams(v) => format!("{v:.0}"),
            Value::Point([x, y, z]) => format!("{x:.0}, {y:.0}, {z:.0}"),
            Value::Money(v) => format!("{v:.2}"),
        }
    }

    fn minus(&self, base: &Value) -> Option<(String, f64)> {
        let by = self.key() - base.key();
        let text = match (self, base) {
            (Value::Count(_), Value::Count(_)) => format!("{by:+.0}"),
            (Value::Length(_), Value::Length(_)) => format!("{by:+.1}"),
            (Value::Litres(_), Value::Litres(_)) | (Value::Money(_), Value::Money(_)) => {
                format!("{by:+.2}")
            }
            (Value::Grams(_), Value::Grams(_)) => format!("{by:+.0}"),
            (Value::Point(a), Value::Point(b)) => {
                let each = [0, 1, 2].map(|i| format!("{:+.0}", a[i] - b[i]));
                each.join(", ")
            }
            _ => return None,
        };
        Some((text, by))
    }
}

impl Figure {
    /// A value that is known in full.
    pub fn of(value: Value) -> Figure {
        Figure {
            value: Some(value),
            ..Figure::default()
        }
    }

    /// Nothing to measure, with the reason.
    pub fn none(note: &str) -> Figure {
        Figure {
            note: note.to_owned(),
            ..Figure::default()
        }
    }

    /// With a note.
    pub fn note(mut self, note: impl Into<String>) -> Figure {
        self.note = note.into();
        self
    }

    /// With what is not known.
    pub fn missing(mut self, missing: Option<String>) -> Figure {
        self.missing = missing;
        self
    }

    /// With the place to show.
    pub fn at(mut self, place: Box3) -> Figure {
        self.place = Some(place);
        self
    }

    /// What stands in the table: `1840`, with a `+?` where more is not known, `not
    /// known`, or a dash where there is nothing to measure.
    pub fn text(&self) -> String {
        match (&self.value, &self.missing) {
            (Some(v), None) => v.text(),
            (Some(v), Some(_)) => format!("{} +?", v.text()),
            (None, Some(_)) => "not known".to_owned(),
            (None, None) => "-".to_owned(),
        }
    }

    /// The difference to the base's figure; `None` where either has no value.
    pub fn delta(&self, base: &Figure, better: Better) -> Option<Delta> {
        let (text, by) = self.value.as_ref()?.minus(base.value.as_ref()?)?;
        let partial = self.missing.is_some() || base.missing.is_some();
        let equal = self.value == base.value;
        let sense = match (better, by.partial_cmp(&0.0)) {
            _ if partial || equal => Sense::Even,
            (Better::Less, Some(Ordering::Less)) | (Better::More, Some(Ordering::Greater)) => {
                Sense::Better
            }
            (Better::Less, Some(Ordering::Greater)) | (Better::More, Some(Ordering::Less)) => {
                Sense::Worse
            }
            _ => Sense::Even,
        };
        let text = if equal { "=".to_owned() } else { text };
        Some(Delta {
            text,
            sense,
            partial,
        })
    }

    /// Sorts by value; what has none comes last either way.
    pub fn order(&self, other: &Figure, descending: bool) -> Ordering {
        match (&self.value, &other.value) {
            (Some(a), Some(b)) if descending => b.key().total_cmp(&a.key()),
            (Some(a), Some(b)) => a.key().total_cmp(&b.key()),
            (a, b) => b.is_some().cmp(&a.is_some()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grams(g: f64) -> Figure {
        Figure::of(Value::Grams(g))
    }

    #[test]
    fn what_is_not_known_is_said_and_never_a_nought() {
        let some = grams(120.0).missing(Some("mass of 3 parts not known".into()));
        assert_eq!(some.text(), "120 +?");
        let none = Figure::default().missing(Some("no mass is known".into()));
        assert_eq!(none.text(), "not known");
        assert_eq!(Figure::none("no cables").text(), "-");
        assert_eq!(none.delta(&some, Better::Less), None);
        let delta = some.delta(&grams(100.0), Better::Less).unwrap();
        assert!(delta.partial && delta.sense == Sense::Even && delta.text == "+20");
    }

    #[test]
    fn differences_know_which_way_is_better() {
        let sense = |a, b, better| grams(a).delta(&grams(b), better).unwrap().sense;
        assert_eq!(sense(1.0, 2.0, Better::Less), Sense::Better);
        assert_eq!(sense(1.0, 2.0, Better::More), Sense::Worse);
        assert_eq!(sense(1.0, 2.0, Better::Neither), Sense::Even);
        let same = grams(2.0).delta(&grams(2.0), Better::Less).unwrap();
        assert_eq!((same.text.as_str(), same.sense), ("=", Sense::Even));
        let p = |z| Figure::of(Value::Point([1.0, 2.0, z]));
        assert_eq!(
            p(9.0).delta(&p(4.0), Better::Less).unwrap().text,
            "+0, +0, +5"
        );
    }

    #[test]
    fn what_has_no_value_is_sorted_last_either_way() {
        let (one, two, none) = (grams(1.0), grams(2.0), Figure::default());
        assert!(one.order(&two, false).is_lt() && one.order(&two, true).is_gt());
        assert!(none.order(&two, false).is_gt() && none.order(&two, true).is_gt());
    }
}
