//! What a mark is, and the layer it is painted in.

use super::System;
use std::fmt;

/// Step of a grid line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum GridStep {
    /// Every millimetre.
    Mm1,
    /// Every ten millimetres.
    Mm10,
    /// Every hundred millimetres.
    Mm100,
}

/// How much light a face gets: 0 looks at the light, [`Tone::DARKEST`] away from it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tone(u8);

impl Tone {
    /// The darkest tone.
    pub const DARKEST: u8 = 7;

    /// The tone of this step, at most the darkest.
    pub const fn new(step: u8) -> Self {
        Self(if step > Self::DARKEST {
            Self::DARKEST
        } else {
            step
        })
    }

    /// Its step, from 0.
    pub const fn step(self) -> u8 {
        self.0
    }
}

/// What a mark is. The palette turns it into a colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// The ground of the sheet.
    Paper,
    /// A grid line.
    Grid(GridStep),
    /// Scale and ticks at the sheet's edge.
    Ruler,
    /// The enclosure where a view cuts it.
    Wall,
    /// A hole in a wall or the clear opening of a panel.
    Opening,
    /// An opening for air.
    Vent,
    /// A passage for cables.
    Passage,
    /// A point where cables are tied.
    Tie,
    /// A mounting zone.
    Zone,
    /// A zone that can take the part in hand.
    ZoneOpen,
    /// A zone that cannot take the part in hand.
    ZoneNo,
    /// Ground of a part, a faint tint.
    Fill(System),
    /// Detail inside a part in the colour of its system.
    Detail(System),
    /// A face of a body in the three-dimensional view, by how much light it gets.
    Face(System, Tone),
    /// Outline of a part: a visible edge.
    Ink,
    /// Inner detail of a part.
    InkSoft,
    /// A hidden edge.
    Hidden,
    /// A centre line.
    Centre,
    /// A cable or hose.
    Cable(System),
    /// Outline of what is selected.
    Selected,
    /// Outline of what is under the pointer.
    Hover,
    /// Where solids meet: a hatch, with its depth.
    Clash,
    /// A gap that is smaller than wanted.
    Tight,
    /// A cable that ends before its port.
    Short,
    /// What is not there: a missing piece, a position left.
    Ghost,
    /// The ring at a hole of a part that no screw holds.
    Unheld,
    /// The place of a caution.
    Caution,
    /// The place of a remark.
    Remark,
    /// Dimension, extension and leader lines with their figures.
    Dimension,
    /// Lettering.
    Text,
    /// Lettering that stands back.
    TextSoft,
    /// Titles.
    Title,
    /// Numbered balloons and their leaders.
    Callout,
}

/// Group of marks that is painted as one, from the ground up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// Paper and grid.
    Sheet,
    /// Walls, zones, openings.
    Enclosure,
    /// Parts.
    Bodies,
    /// Cables and hoses.
    Cables,
    /// Selection and findings.
    Marks,
    /// Dimensions and lettering.
    Notes,
}

impl Layer {
    /// Every layer, from the ground up.
    pub const ALL: [Self; 6] = [
        Self::Sheet,
        Self::Enclosure,
        Self::Bodies,
        Self::Cables,
        Self::Marks,
        Self::Notes,
    ];

    /// Lower-case name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Sheet => "sheet",
            Self::Enclosure => "enclosure",
            Self::Bodies => "bodies",
            Self::Cables => "cables",
            Self::Marks => "marks",
            Self::Notes => "notes",
        }
    }
}

impl Role {
    /// Roles that are not split by system or step.
    const PLAIN: [Self; 27] = [
        Self::Paper,
        Self::Ruler,
        Self::Wall,
        Self::Opening,
        Self::Vent,
        Self::Passage,
        Self::Tie,
        Self::Zone,
        Self::ZoneOpen,
        Self::ZoneNo,
        Self::Ink,
        Self::InkSoft,
        Self::Hidden,
        Self::Centre,
        Self::Selected,
        Self::Hover,
        Self::Clash,
        Self::Tight,
        Self::Short,
        Self::Ghost,
        Self::Unheld,
        Self::Caution,
        Self::Remark,
        Self::Dimension,
        Self::Text,
        Self::TextSoft,
        Self::Title,
    ];

    /// Every role, each system and grid step in turn.
    pub fn all() -> impl Iterator<Item = Self> {
        let steps = [GridStep::Mm1, GridStep::Mm10, GridStep::Mm100];
        let by_system = System::ALL
            .into_iter()
            .flat_map(|s| [Self::Fill(s), Self::Detail(s), Self::Cable(s)]);
        let tones = System::ALL
            .into_iter()
            .flat_map(|s| (0..=Tone::DARKEST).map(move |t| Self::Face(s, Tone(t))));
        Self::PLAIN
            .into_iter()
            .chain([Self::Callout])
            .chain(steps.into_iter().map(Self::Grid))
            .chain(by_system)
            .chain(tones)
    }

    /// The layer that a mark of this role is painted in unless told otherwise.
    pub const fn layer(self) -> Layer {
        match self {
            Self::Paper | Self::Grid(_) => Layer::Sheet,
            Self::Wall
            | Self::Opening
            | Self::Vent
            | Self::Passage
            | Self::Tie
            | Self::Zone
            | Self::ZoneOpen
            | Self::ZoneNo => Layer::Enclosure,
            Self::Fill(_)
            | Self::Detail(_)
            | Self::Face(..)
            | Self::Ink
            | Self::InkSoft
            | Self::Hidden
            | Self::Centre => Layer::Bodies,
            Self::Cable(_) => Layer::Cables,
            Self::Selected
            | Self::Hover
            | Self::Clash
            | Self::Tight
            | Self::Short
            | Self::Ghost
            | Self::Unheld
            | Self::Caution
            | Self::Remark => Layer::Marks,
            Self::Ruler
            | Self::Dimension
            | Self::Text
            | Self::TextSoft
            | Self::Title
            | Self::Callout => Layer::Notes,
        }
    }
}

/// Lower-case with dashes, for class names: `ink-soft`, `fill-air`, `grid-10`.
impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Paper => "paper",
            Self::Grid(GridStep::Mm1) => "grid-1",
            Self::Grid(GridStep::Mm10) => "grid-10",
            Self::Grid(GridStep::Mm100) => "grid-100",
            Self::Ruler => "ruler",
            Self::Wall => "wall",
            Self::Opening => "opening",
            Self::Vent => "vent",
            Self::Passage => "passage",
            Self::Tie => "tie",
            Self::Zone => "zone",
            Self::ZoneOpen => "zone-open",
            Self::ZoneNo => "zone-no",
            Self::Fill(system) => return write!(f, "fill-{}", system.name()),
            Self::Detail(system) => return write!(f, "detail-{}", system.name()),
            Self::Face(system, tone) => {
                return write!(f, "face-{}-{}", system.name(), tone.0);
            }
            Self::Ink => "ink",
            Self::InkSoft => "ink-soft",
            Self::Hidden => "hidden",
            Self::Centre => "centre",
            Self::Cable(system) => return write!(f, "cable-{}", system.name()),
            Self::Selected => "selected",
            Self::Hover => "hover",
            Self::Clash => "clash",
            Self::Tight => "tight",
            Self::Short => "short",
            Self::Ghost => "ghost",
            Self::Unheld => "unheld",
            Self::Caution => "caution",
            Self::Remark => "remark",
            Self::Dimension => "dimension",
            Self::Text => "text",
            Self::TextSoft => "text-soft",
            Self::Title => "title",
            Self::Callout => "callout",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_role_is_listed_once_under_its_own_name() {
        let all: Vec<Role> = Role::all().collect();
        let names: BTreeSet<String> = all.iter().map(Role::to_string).collect();
        assert_eq!(names.len(), all.len());
        // 28 plain, three grid steps, three and eight tones of each system.
        assert_eq!(all.len(), 28 + 3 + (3 + 8) * System::ALL.len());
        // Tables by system are indexed by the order of declaration.
        assert!((0..System::ALL.len()).all(|i| System::ALL[i] as usize == i));
        assert!(names.iter().all(|n| {
            n.chars()
                .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
        }));
    }
}
