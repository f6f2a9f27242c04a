//! Where a number comes from and how far it may be trusted.

/// How well a figure is founded, best first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Confidence {
    /// Read in the publisher's own words.
    Published,
    /// Arithmetic from published or transcribed values.
    Derived,
    /// Read in a secondary text that transcribes the standard.
    Secondary,
    /// Common practice of the trade, no source.
    Practice,
    /// From memory: measure before metal is cut.
    Memory,
    /// Invented for demonstration.
    Invented,
}

impl Confidence {
    /// All, best first.
    pub const ALL: [Confidence; 6] = [
        Confidence::Published,
        Confidence::Derived,
        Confidence::Secondary,
        Confidence::Practice,
        Confidence::Memory,
        Confidence::Invented,
    ];

    /// The word in files.
    pub const fn name(self) -> &'static str {
        match self {
            Confidence::Published => "published",
            Confidence::Derived => "derived",
            Confidence::Secondary => "secondary",
            Confidence::Practice => "practice",
            Confidence::Memory => "memory",
            Confidence::Invented => "invented",
        }
    }

    /// The words in the window.
    pub const fn words(self) -> &'static str {
        match self {
            Confidence::Published => "published",
            Confidence::Derived => "worked out from published figures",
            Confidence::Secondary => "transcribed by others",
            Confidence::Practice => "common practice, no source",
            Confidence::Memory => "from memory: measure it",
            Confidence::Invented => "invented for demonstration",
        }
    }

    /// True where the figure should be measured before something depends on it.
    pub const fn is_weak(self) -> bool {
        matches!(
            self,
            Confidence::Practice | Confidence::Memory | Confidence::Invented
        )
    }
}

/// The source of one figure, or of one group of figures, of a part or enclosure.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Figure {
    /// Which figure: 'outline', 'hole pattern', 'thickness' and so on.
    pub what: String,
    /// Publisher and document, or a short remark.
    pub source: String,
    /// How well it is founded.
    pub confidence: Confidence,
}
