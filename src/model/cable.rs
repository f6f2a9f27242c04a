//! Cables and hoses, the connectors at their ends and the ways they are led.

use super::figure::Figure;
use super::id::CableKindId;
use super::kind::words;
use super::scene::PortRef;
use crate::geom::{Length, Vec3};

words!(
    /// What a part or cable belongs to; decides its tint.
    System {
        /// Enclosure, brackets.
        Structure = "structure", "structure";
        /// Boards and cards.
        Boards = "boards", "boards";
        /// Drives.
        Drives = "drives", "drives";
        /// Fans, air.
        Air = "air", "air";
        /// Supply and power leads.
        Power = "power", "power";
        /// Data and signal leads.
        Data = "data", "data";
        /// Liquid cooling.
        Liquid = "liquid", "liquid";
    }
);

/// A type of connector.
#[derive(Clone, PartialEq, Debug)]
pub struct Connector {
    /// Its id, as used by ports and cable kinds.
    pub id: String,
    /// For people.
    pub name: String,
    /// Plug size: across, along the longer side, and out of the socket.
    pub plug: [Length; 3],
    /// Straight length of lead behind the plug before it may bend.
    pub straight: Length,
    /// The most power that one plug may carry, in milliwatts; `None` where it
    /// carries none or no limit is known.
    pub carries_mw: Option<u32>,
    /// Sockets of other types that its plug goes into too, where a piece of the
    /// plug splits off and hangs free: six-plus-two.
    pub splits_to: Vec<String>,
    /// Sources of its figures.
    pub figures: Vec<Figure>,
}

impl Connector {
    /// True where a plug of this type goes into a socket of that one.
    pub fn fits(&self, socket: &str) -> bool {
        self.id == socket || self.splits_to.iter().any(|s| s == socket)
    }
}

/// Cross-section of a cable or hose.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Section {
    /// Round, outer diameter.
    Round(Length),
    /// Flat: width and thickness.
    Flat(Length, Length),
}

impl Section {
    /// The larger extent across.
    pub fn width(self) -> Length {
        match self {
            Section::Round(d) => d,
            Section::Flat(w, _) => w,
        }
    }

    /// The smaller extent across.
    pub fn thickness(self) -> Length {
        match self {
            Section::Round(d) => d,
            Section::Flat(_, t) => t,
        }
    }
}

/// A cable that can be bought or made: which ends, which lengths.
#[derive(Clone, PartialEq, Debug)]
pub struct CableKind {
    /// Its id.
    pub id: CableKindId,
    /// For people.
    pub name: String,
    /// Tint and legend.
    pub system: System,
    /// Connector of the port at the giving end.
    pub from: String,
    /// Connector of the port at the taking end.
    pub to: String,
    /// Lengths at hand, shortest first; at least one.
    pub lengths: Vec<Length>,
    /// Cross-section.
    pub section: Section,
    /// Smallest bend radius of the middle line.
    pub bend: Length,
    /// Number of plugs along the run, at least 1.
    pub plugs: usize,
    /// From plug to plug, where there are several.
    pub pitch: Length,
    /// True where it lengthens another lead: a plug of the type `from` goes into its
    /// socket. Such a kind joins no two ports by itself.
    pub extends: bool,
    /// The most power that it may carry, in milliwatts; `None` where its plugs say
    /// enough.
    pub carries_mw: Option<u32>,
    /// Sources of its figures.
    pub figures: Vec<Figure>,
}

/// A place that a cable's way has to visit, in order.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Via {
    /// Through a passage of the enclosure.
    Passage(String),
    /// Along a tie point of the enclosure.
    Tie(String),
    /// A tie point that the program chose, so that less of the way hangs free. It stays
    /// while it does, and goes with the corners where the cable is put back to straight.
    Chosen(String),
    /// A point that the user set; the way passes through it.
    Point(Vec3),
    /// A corner of a way that the program laid, or that was dragged: its rounding cuts
    /// it off. A part may be moved away under it, so it pins nothing.
    Corner(Vec3),
}

impl Via {
    /// True for what the user chose and a newly laid way keeps to.
    pub fn is_pinned(&self) -> bool {
        !matches!(self, Via::Corner(_) | Via::Chosen(_))
    }

    /// True for a place that the way passes through; the rounding of a corner cuts it off.
    pub fn is_place(&self) -> bool {
        !matches!(self, Via::Corner(_))
    }

    /// The tie point, whoever chose it.
    pub fn tie(&self) -> Option<&str> {
        match self {
            Via::Tie(id) | Via::Chosen(id) => Some(id),
            _ => None,
        }
    }
}

/// One plug of a run: where it goes, and the stretch that leads to it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PlugEnd {
    /// The port it is plugged into.
    pub to: PortRef,
    /// Length at hand of the stretch from the plug before it (or from the start).
    pub length: Length,
    /// Places to visit on that stretch.
    pub via: Vec<Via>,
}

/// An extension between a lead's last plug and the socket.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Extension {
    /// Its kind in the catalogue.
    pub kind: CableKindId,
    /// Its length, from the socket that takes the lead's plug to its own plug.
    pub length: Length,
}

/// A cable or hose of an arrangement.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Cable {
    /// For people.
    pub name: String,
    /// The catalogue's kind; `None` for a captive lead or hose.
    pub kind: Option<CableKindId>,
    /// Tint and legend.
    pub system: System,
    /// The giving end, or the captive lead.
    pub from: PortRef,
    /// The plugs in order; at least one.
    pub plugs: Vec<PlugEnd>,
    /// Cross-section.
    pub section: Section,
    /// Smallest bend radius of the middle line.
    pub bend: Length,
    /// The user's choice: it stays when leads are given out anew.
    pub locked: bool,
    /// What lengthens its last stretch.
    pub extension: Option<Extension>,
    /// How long a piece of it may hang free; `None` for what the settings say.
    pub hangs: Option<Length>,
    /// True where the program laid its way and lays it anew when things move; its
    /// corners are then no choice of the user.
    pub finds: bool,
}

impl Cable {
    /// All ports it joins, the giving end first.
    pub fn ports(&self) -> impl Iterator<Item = &PortRef> {
        std::iter::once(&self.from).chain(self.plugs.iter().map(|p| &p.to))
    }

    /// True where its way has a corner or a tie that nobody pinned.
    pub fn has_corners(&self) -> bool {
        let mut along = self.plugs.iter().flat_map(|p| &p.via);
        along.any(|v| !v.is_pinned())
    }

    /// True where it is led along ties that were chosen for it.
    pub fn is_tied(&self) -> bool {
        let mut along = self.plugs.iter().flat_map(|p| &p.via);
        along.any(|v| matches!(v, Via::Chosen(_)))
    }

    /// True where its user leads it: along something pinned, or along corners that the
    /// program did not lay.
    pub fn is_led(&self) -> bool {
        let mut along = self.plugs.iter().flat_map(|p| &p.via);
        along.any(|v| v.is_pinned() || !self.finds)
    }

    /// Takes all corners and chosen ties off its way: straight between what is pinned.
    pub fn straighten(&mut self) {
        for plug in &mut self.plugs {
            plug.via.retain(Via::is_pinned);
        }
    }
}
