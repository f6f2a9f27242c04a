//! Numbers, colours and text as they stand in an XML file.

use crate::view::palette::Rgba;
use std::fmt::Write;

/// A number with at most three decimals, without trailing zeros or a minus zero.
pub(super) struct Number(pub(super) f64);

impl std::fmt::Display for Number {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let thousandths = (self.0 * 1000.0).round() as i64;
        let sign = if thousandths < 0 { "-" } else { "" };
        let (whole, rest) = (
            thousandths.unsigned_abs() / 1000,
            thousandths.unsigned_abs() % 1000,
        );
        write!(f, "{sign}{whole}")?;
        match rest {
            0 => Ok(()),
            r if r % 100 == 0 => write!(f, ".{}", r / 100),
            r if r % 10 == 0 => write!(f, ".{:02}", r / 10),
            r => write!(f, ".{r:03}"),
        }
    }
}

/// A colour as `#rrggbb`.
pub(super) struct Hex(pub(super) Rgba);

impl std::fmt::Display for Hex {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "#{:02x}{:02x}{:02x}", self.0.r, self.0.g, self.0.b)
    }
}

/// Text as XML character data.
pub(super) struct Escaped<'a>(pub(super) &'a str);

impl std::fmt::Display for Escaped<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for c in self.0.chars() {
            match c {
                '&' => f.write_str("&amp;")?,
                '<' => f.write_str("&lt;")?,
                '>' => f.write_str("&gt;")?,
                '"' => f.write_str("&quot;")?,
                '\'' => f.write_str("&apos;")?,
                '\t' | '\n' => f.write_char(c)?,
                // Not in the Char production of XML 1.0, or read as something else (C1, CR).
                '\u{fffe}' | '\u{ffff}' => f.write_char(char::REPLACEMENT_CHARACTER)?,
                c if c.is_control() => f.write_char(char::REPLACEMENT_CHARACTER)?,
                c => f.write_char(c)?,
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_never_minus_zero() {
        for (value, shown) in [
            (0.0, "0"),
            (-0.0002, "0"),
            (12.0, "12"),
            (1.5, "1.5"),
            (-0.25, "-0.25"),
            (0.005, "0.005"),
            (2.0005, "2.001"),
            (99999.9996, "100000"),
        ] {
            assert_eq!(Number(value).to_string(), shown);
        }
    }

    #[test]
    fn what_xml_cannot_hold_is_replaced() {
        let hostile = "a<b>&\"'\0\u{1b}\u{7f}\u{ffff}\r\u{1f600}";
        let expected =
            "a&lt;b&gt;&amp;&quot;&apos;\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{1f600}";
        assert_eq!(Escaped(hostile).to_string(), expected);
    }
}
