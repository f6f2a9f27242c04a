//! Pins of standard headers: which does what, which is missing, and which small
//! plugs may go on either way round.

/// A header of pins.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Header {
    /// The connector's id in the catalogue.
    pub connector: &'static str,
    /// Rows: with two, pin 1 and 2 face one another and odd numbers make a row.
    pub rows: u8,
    /// Pins in a row.
    pub columns: u8,
    /// The pin that is left out, so that the plug goes on one way only; `None` for a
    /// shroud or nothing.
    pub missing: Option<u8>,
    /// What each pin does, from pin 1 on; empty where there is none.
    pub names: &'static [&'static str],
    /// Small plugs that share the header; empty where one plug takes all of it.
    pub plugs: &'static [SmallPlug],
    /// Where it is from, and how sure it is.
    pub source: &'static str,
}

/// A plug on two pins of a shared header.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct SmallPlug {
    /// What hangs on it.
    pub name: &'static str,
    /// Its pins; plus first where it matters.
    pub pins: [u8; 2],
    /// True where it has to be the right way round: lights. Switches go either way.
    pub polar: bool,
}

/// The headers that are known.
pub const HEADERS: &[Header] = &[
    Header {
        connector: "panel-header",
        rows: 2,
        columns: 5,
        missing: Some(10),
        names: &[
            "drive light +",
            "power light +",
            "drive light -",
            "power light -",
            "reset switch",
            "power switch",
            "reset switch",
            "power switch",
            "reserved",
            "",
        ],
        plugs: &[
            SmallPlug {
                name: "power switch",
                pins: [6, 8],
                polar: false,
            },
            SmallPlug {
                name: "reset switch",
                pins: [5, 7],
                polar: false,
            },
            SmallPlug {
                name: "power light",
                pins: [2, 4],
                polar: true,
            },
            SmallPlug {
                name: "drive light",
                pins: [1, 3],
                polar: true,
            },
        ],
        source: "Front Panel I/O Connectivity Design Guide, s.2.2 and figure 10, in secondary \
                 texts; signs of 1 and 3, pin 9 and the missing pin from memory; 2 and 4 by a \
                 board's guide",
    },
    Header {
        connector: "usb2-header",
        rows: 2,
        columns: 5,
        missing: Some(9),
        names: &[
            "+5 V", "+5 V", "D-", "D-", "D+", "D+", "ground", "ground", "", "free",
        ],
        plugs: &[],
        source: "several boards' guides that agree",
    },
    Header {
        connector: "audio-header",
        rows: 2,
        columns: 5,
        missing: Some(8),
        names: &[
            "microphone, left",
            "ground",
            "microphone, right",
            "presence",
            "headphones, right",
            "sense return 1",
            "sense send",
            "",
            "headphones, left",
            "sense return 2",
        ],
        plugs: &[],
        source: "several boards' guides that agree",
    },
    Header {
        connector: "fan-4pin",
        rows: 1,
        columns: 4,
        missing: None,
        names: &["ground", "+12 V", "speed out", "speed in, 25 kHz"],
        plugs: &[],
        source: "4-Wire PWM Controlled Fans Specification",
    },
];

/// The header of a connector, where it is a known one.
pub fn header(connector: &str) -> Option<&'static Header> {
    HEADERS.iter().find(|h| h.connector == connector)
}

impl Header {
    /// Number of places, the missing one counted.
    pub fn places(&self) -> u8 {
        self.rows * self.columns
    }

    /// What keeps the plug from going on the wrong way, in words.
    pub fn key(&self) -> String {
        match self.missing {
            Some(pin) => format!("keyed by the missing pin {pin}"),
            None => "keyed by its shroud".to_owned(),
        }
    }

    /// Column and row of a pin, both from 0, pin 1 at the upper left.
    pub fn place(&self, pin: u8) -> (u8, u8) {
        let index = pin.saturating_sub(1);
        (index / self.rows, index % self.rows)
    }
}

impl SmallPlug {
    /// Where it goes and which way round, in words.
    pub fn words(&self) -> String {
        let [a, b] = self.pins;
        match self.polar {
            true => format!("{}: + on pin {a}, - on pin {b}", self.name),
            false => format!("{}: pins {a} and {b}, either way round", self.name),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// Lights have a plus and a minus and switches do not: Front Panel I/O
    /// Connectivity Design Guide, 2.2 (typed from the reference, not from the table).
    #[test]
    fn the_front_panel_is_as_the_guide_says() {
        let header = header("panel-header").expect("known");
        let words: Vec<String> = header.plugs.iter().map(SmallPlug::words).collect();
        assert_eq!(
            words,
            [
                "power switch: pins 6 and 8, either way round",
                "reset switch: pins 5 and 7, either way round",
                "power light: + on pin 2, - on pin 4",
                "drive light: + on pin 1, - on pin 3",
            ]
        );
        assert_eq!(header.key(), "keyed by the missing pin 10");
    }

    /// Each of the three headers of 2x5 misses another pin, so no plug goes on the
    /// wrong one: USB 9, audio 8, panel 10 (boards' guides).
    #[test]
    fn headers_of_two_by_five_are_told_apart_by_their_missing_pin() {
        let of = |c: &str| header(c).and_then(|h| h.missing);
        assert_eq!(of("usb2-header"), Some(9));
        assert_eq!(of("audio-header"), Some(8));
        assert_eq!(of("panel-header"), Some(10));
        assert!(header("sata-data").is_none());
    }

    #[test]
    fn every_pin_has_one_place_and_one_name() {
        for h in HEADERS {
            let count = usize::from(h.places());
            assert_eq!(h.names.len(), count, "{}", h.connector);
            let places: BTreeSet<_> = (1..=h.places()).map(|p| h.place(p)).collect();
            assert_eq!(places.len(), count);
            assert!(places.iter().all(|(c, r)| *c < h.columns && *r < h.rows));
            let mut used: Vec<u8> = h.plugs.iter().flat_map(|p| p.pins).collect();
            used.extend(h.missing);
            let distinct: BTreeSet<u8> = used.iter().copied().collect();
            assert_eq!(distinct.len(), used.len(), "{}", h.connector);
            for (i, name) in h.names.iter().enumerate() {
                assert_eq!(name.is_empty(), h.missing == Some(i as u8 + 1));
            }
        }
    }
}
