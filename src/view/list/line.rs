//! Line widths and line types of technical drawings.

/// Width of a line, by class or true.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Width {
    /// 0.13 mm: hatching and grids.
    Hair,
    /// 0.25 mm: inner detail, dimensions, hidden edges, centre lines.
    Thin,
    /// 0.5 mm: outlines.
    Thick,
    /// A true width in millimetres, for marks whose width is a size of the thing
    /// drawn (a cable at its diameter). It scales with the geometry.
    True(f64),
}

impl Width {
    /// Width in millimetres on paper.
    ///
    /// Source: ISO 128-2 line groups (group 0.5 with 0.25, and 0.13 of the same
    /// series), from memory.
    pub const fn mm(self) -> f64 {
        match self {
            Self::Hair => 0.13,
            Self::Thin => 0.25,
            Self::Thick => 0.5,
            Self::True(mm) => mm,
        }
    }
}

/// Line type by use, named as in ISO 128-2.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LineType {
    /// Visible edges.
    Continuous,
    /// Hidden edges.
    Dashed,
    /// Limits that are not edges: keep-outs, reach spaces.
    Dotted,
    /// Long-dashed dotted: centre lines and axes.
    Chain,
    /// Long-dashed double-dotted: adjacent parts, other positions.
    Phantom,
}

/// Longest list of on and off lengths of a [`LineType`].
const MAX_ELEMENTS: usize = 6;

/// How a path is stroked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Width of the stroke.
    pub width: Width,
    /// Pattern along the stroke.
    pub kind: LineType,
}

impl Line {
    /// Continuous, 0.13 mm.
    pub const HAIR: Self = Self::new(Width::Hair, LineType::Continuous);
    /// Continuous, 0.25 mm.
    pub const THIN: Self = Self::new(Width::Thin, LineType::Continuous);
    /// Continuous, 0.5 mm.
    pub const THICK: Self = Self::new(Width::Thick, LineType::Continuous);
    /// A hidden edge: dashed, 0.25 mm.
    pub const HIDDEN: Self = Self::new(Width::Thin, LineType::Dashed);
    /// A centre line: chain, 0.25 mm.
    pub const CENTRE: Self = Self::new(Width::Thin, LineType::Chain);
    /// A part in another position: long-dashed double-dotted, 0.25 mm.
    pub const PHANTOM: Self = Self::new(Width::Thin, LineType::Phantom);

    /// A line of this width and type.
    pub const fn new(width: Width, kind: LineType) -> Self {
        Self { width, kind }
    }

    /// A continuous line as wide as the thing it stands for, in millimetres.
    pub const fn true_width(mm: f64) -> Self {
        Self::new(Width::True(mm), LineType::Continuous)
    }

    /// Lengths of dash and gap in millimetres, alternating and starting with a
    /// dash; empty for a continuous line.
    ///
    /// Source: ISO 128-2, configuration of line elements, from memory: dash 12 d,
    /// long dash 24 d, gap 3 d with d the line width. A dot is at most 0.5 d
    /// there; it is 1 d here so that it survives on a screen.
    pub fn dashes(self) -> Dashes {
        let (count, elements): (usize, [f64; MAX_ELEMENTS]) = match self.kind {
            LineType::Continuous => (0, [0.0; MAX_ELEMENTS]),
            LineType::Dashed => (2, [12.0, 3.0, 0.0, 0.0, 0.0, 0.0]),
            LineType::Dotted => (2, [1.0, 3.0, 0.0, 0.0, 0.0, 0.0]),
            LineType::Chain => (4, [24.0, 3.0, 1.0, 3.0, 0.0, 0.0]),
            LineType::Phantom => (6, [24.0, 3.0, 1.0, 3.0, 1.0, 3.0]),
        };
        let width = self.width.mm();
        Dashes {
            count,
            lengths: elements.map(|e| e * width),
        }
    }

    /// Whether ends are round: continuous thin and thick lines, so that strokes that
    /// meet leave no notch. Dashes, hatching and true widths end square, at their
    /// length.
    pub fn round_ends(self) -> bool {
        self.kind == LineType::Continuous && matches!(self.width, Width::Thin | Width::Thick)
    }

    /// Whether corners are round: true widths (cables). Others are mitred.
    pub fn round_corners(self) -> bool {
        matches!(self.width, Width::True(_))
    }
}

/// Dash and gap lengths in millimetres; reads as a slice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dashes {
    count: usize,
    lengths: [f64; MAX_ELEMENTS],
}

impl std::ops::Deref for Dashes {
    type Target = [f64];
    fn deref(&self) -> &[f64] {
        &self.lengths[..self.count]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Expected figures: ISO 128-2 element lengths in line widths, from memory.
    #[test]
    fn dash_lengths_follow_the_line_width() {
        assert_eq!(*Line::HIDDEN.dashes(), [3.0, 0.75]);
        assert_eq!(*Line::CENTRE.dashes(), [6.0, 0.75, 0.25, 0.75]);
        assert_eq!(
            *Line::new(Width::Thick, LineType::Dashed).dashes(),
            [6.0, 1.5]
        );
        assert_eq!(Line::PHANTOM.dashes().len(), 6);
        assert!(Line::THICK.dashes().is_empty());
    }

    #[test]
    fn neighbouring_width_classes_stay_apart() {
        // ISO 128-2: wide to narrow is 2:1 within a group, from memory.
        assert_eq!(Width::Thick.mm() / Width::Thin.mm(), 2.0);
        assert!(Width::Thin.mm() / Width::Hair.mm() > 1.9);
    }
}
