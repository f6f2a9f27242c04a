//! Weight, size and anchor of lettering.

use crate::view::text;

/// Weight of the typeface.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// The normal weight.
    #[default]
    Regular,
    /// For titles and what must be seen first.
    Bold,
}

/// Where the anchor lies along the text.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum HAlign {
    /// At its start.
    #[default]
    Left,
    /// Halfway along.
    Middle,
    /// At its end.
    Right,
}

/// Where the anchor lies across the text.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum VAlign {
    /// On the line that capitals and figures stand on.
    #[default]
    Baseline,
    /// Halfway up a capital or a figure.
    Middle,
    /// At the top of capitals and figures.
    Top,
}

/// Which point of the text stands at its position.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Anchor {
    /// Along the text.
    pub h: HAlign,
    /// Across it.
    pub v: VAlign,
}

/// Size of lettering, by the height of capitals.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TextSize {
    /// Capitals of 1.8 mm: figures in drawings, notes.
    Small,
    /// Capitals of 2.5 mm: labels.
    Body,
    /// Capitals of 3.5 mm: headings of views.
    Head,
    /// Capitals of 5 mm: the title of a sheet.
    Title,
    /// Capitals of any height in millimetres.
    Cap(f64),
}

impl TextSize {
    /// Height of capitals and figures in millimetres.
    ///
    /// Source of the classes: ISO 3098-1 nominal sizes, from memory.
    pub const fn cap_mm(self) -> f64 {
        match self {
            Self::Small => 1.8,
            Self::Body => 2.5,
            Self::Head => 3.5,
            Self::Title => 5.0,
            Self::Cap(mm) => mm,
        }
    }

    /// The font size: side of the em square in millimetres.
    pub const fn em_mm(self) -> f64 {
        self.cap_mm() / text::CAP_HEIGHT
    }
}
