//! Numbers as files hold them: lengths in millimetres, amounts, shares.

use crate::geom::{LIMIT_MM, Length};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{Deserialize, Deserializer, Error, Visitor};
use serde::ser::{Serialize, Serializer};
use std::borrow::Cow;
use std::fmt;

/// Any JSON number as a float, with what was expected in words.
struct Number(&'static str);

impl Visitor<'_> for Number {
    type Value = f64;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.0)
    }

    fn visit_u64<E: Error>(self, v: u64) -> Result<f64, E> {
        Ok(v as f64)
    }

    fn visit_i64<E: Error>(self, v: i64) -> Result<f64, E> {
        Ok(v as f64)
    }

    fn visit_f64<E: Error>(self, v: f64) -> Result<f64, E> {
        Ok(v)
    }
}

/// Whole numbers without a decimal point, others with as few digits as needed.
fn write<S: Serializer>(value: f64, out: S) -> Result<S::Ok, S::Error> {
    let whole = value as i64;
    if whole as f64 == value && whole.unsigned_abs() < 1 << 53 {
        out.serialize_i64(whole)
    } else {
        out.serialize_f64(value)
    }
}

/// The length that a number of millimetres says exactly.
fn length<E: Error>(mm: f64) -> Result<Length, E> {
    let Some(length) = Length::from_mm(mm) else {
        // Hundreds of digits say less than a power of ten.
        let said = match mm.abs() < 1e9 {
            true => mm.to_string(),
            false => format!("{mm:e}"),
        };
        return Err(E::custom(format!(
            "{said} mm is out of range; give a length of at most {LIMIT_MM} mm"
        )));
    };
    if length.as_mm() != mm {
        return Err(E::custom(format!(
            "{mm} has more than three decimals; round it to {length}"
        )));
    }
    Ok(length)
}

macro_rules! length {
    ($(#[$doc:meta])* $name:ident, $sound:expr, $fault:literal, $schema:tt) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
        pub struct $name(pub Length);

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(d: D) -> Result<$name, D::Error> {
                let mm = d.deserialize_f64(Number("a length in millimetres"))?;
                let length = length(mm)?;
                let sound: fn(Length) -> bool = $sound;
                if !sound(length) {
                    return Err(D::Error::custom(format!($fault, length)));
                }
                Ok($name(length))
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
                write(self.0.as_mm(), out)
            }
        }

        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!($schema)
            }
        }
    };
}

length!(
    /// A coordinate or displacement, either sign.
    Mm,
    |_| true,
    "{0} is no coordinate; correct it",
    {
        "description": "A coordinate in mm, at most three decimals.",
        "type": "number", "minimum": -100_000, "maximum": 100_000
    }
);
length!(
    /// A size: more than zero.
    Positive,
    |l| l > Length::ZERO,
    "{0} is not more than zero; give a size above zero",
    {
        "description": "A size in mm, more than zero, at most three decimals.",
        "type": "number", "exclusiveMinimum": 0, "maximum": 100_000
    }
);
length!(
    /// A length that may be zero but not negative.
    NotNegative,
    |l| l >= Length::ZERO,
    "{0} is negative; give zero or more",
    {
        "description": "A length in mm, zero or more, at most three decimals.",
        "type": "number", "minimum": 0, "maximum": 100_000
    }
);

impl Default for NotNegative {
    fn default() -> NotNegative {
        NotNegative(Length::ZERO)
    }
}

macro_rules! float {
    ($(#[$doc:meta])* $name:ident, $most:literal, $what:literal, $schema:tt) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Debug)]
        pub struct $name(pub f64);

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(d: D) -> Result<$name, D::Error> {
                let value = d.deserialize_f64(Number($what))?;
                if !(0.0..=$most).contains(&value) {
                    return Err(D::Error::custom(format!(
                        "{value} is out of range; give {}", $what
                    )));
                }
                // Adding zero turns a negative zero into a plain one.
                Ok($name(value + 0.0))
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
                write(self.0, out)
            }
        }

        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!($schema)
            }
        }
    };
}

float!(
    /// A rating: finite, not negative, at most 1e9.
    Amount,
    1e9,
    "a number from 0 to 1000000000",
    {
        "description": "A rating, zero or more.",
        "type": "number", "minimum": 0, "maximum": 1_000_000_000
    }
);
float!(
    /// A share of a whole, 0 to 1.
    Share,
    1.0,
    "a number from 0 to 1",
    { "description": "A share, 0 to 1.", "type": "number", "minimum": 0, "maximum": 1 }
);

/// A power in watts that the model holds in whole milliwatts.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Watts(pub u32);

impl<'de> Deserialize<'de> for Watts {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Watts, D::Error> {
        let what = "a power from 0 to 1000000 watts, at most three decimals";
        let watts = d.deserialize_f64(Number(what))?;
        let whole = (watts * 1000.0).round();
        if !(0.0..=1e9).contains(&whole) || whole / 1000.0 != watts {
            return Err(D::Error::custom(format!(
                "{watts} does not do; give {what}"
            )));
        }
        Ok(Watts(whole as u32))
    }
}

impl Serialize for Watts {
    fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        write(f64::from(self.0) / 1000.0, out)
    }
}

impl JsonSchema for Watts {
    fn schema_name() -> Cow<'static, str> {
        "Watts".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A power in W, zero or more, at most three decimals.",
            "type": "number", "minimum": 0, "maximum": 1_000_000
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(text: &str) -> Result<Length, String> {
        let read = serde_json::from_str::<Mm>(text);
        read.map(|m| m.0).map_err(|e| e.to_string())
    }

    #[test]
    fn lengths_are_read_exactly_or_not_at_all() {
        assert_eq!(mm("12.345"), Ok(Length::um(12_345)));
        assert_eq!(mm("-0.0"), Ok(Length::ZERO));
        assert_eq!(mm("1.2e1"), Ok(Length::mm(12)));
        assert_eq!(mm("100000"), Ok(Length::mm(100_000)));
        let err = mm("0.1234").unwrap_err();
        assert!(err.contains("three decimals; round it to 0.123"), "{err}");
        assert!(mm("100000.001").unwrap_err().contains("out of range"));
        assert!(mm("1e300").unwrap_err().contains("out of range"));
        assert!(mm("\"12\"").unwrap_err().contains("millimetres"));
    }

    #[test]
    fn every_micrometre_up_to_the_limit_is_written_as_it_is_read() {
        // A stride that is no divisor of 1000 meets every count of decimals.
        for um in (-100_000_000..=100_000_000).step_by(7_919) {
            let text = serde_json::to_string(&Mm(Length::um(um))).unwrap();
            assert_eq!(text, Length::um(um).to_string());
            assert_eq!(mm(&text), Ok(Length::um(um)));
        }
    }

    #[test]
    fn sizes_are_more_than_zero() {
        assert!(serde_json::from_str::<Positive>("0").is_err());
        assert!(serde_json::from_str::<Positive>("0.001").is_ok());
        assert!(serde_json::from_str::<NotNegative>("-0.001").is_err());
    }

    #[test]
    fn watts_are_whole_milliwatts() {
        for mw in (0..=1_000_000_000_u32).step_by(7_919_111) {
            let text = serde_json::to_string(&Watts(mw)).unwrap();
            assert_eq!(serde_json::from_str::<Watts>(&text).unwrap(), Watts(mw));
        }
        assert_eq!(serde_json::to_string(&Watts(2_200)).unwrap(), "2.2");
        for bad in ["-1", "0.0001", "1000000.001", "1e300"] {
            assert!(serde_json::from_str::<Watts>(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn amounts_are_plain_numbers() {
        let text = |v: f64| serde_json::to_string(&Amount(v)).unwrap();
        assert_eq!(text(3.0), "3");
        assert_eq!(text(0.1), "0.1");
        let zero = serde_json::from_str::<Amount>("-0.0").unwrap();
        assert!(zero.0.is_sign_positive());
        assert!(serde_json::from_str::<Amount>("-1").is_err());
        assert!(serde_json::from_str::<Share>("1.01").is_err());
    }
}
