//! Part kinds: what a part of the catalogue is, in its own frame.

use super::cable::{CableKind, Connector, Section};
use super::enclosure::Enclosure;
use super::figure::Figure;
use super::id::{CableKindId, EnclosureId, KindId};
use super::measured::Dimensions;
use super::mount::{Outlet, Pattern, Zone};
use crate::geom::{Box3, Dir, Length, Solid, Vec3};
use std::collections::BTreeMap;
use std::sync::Arc;

macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal, $label:literal;)+ }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub enum $name { $($(#[$vdoc])* $variant,)+ }

        impl $name {
            /// All, in shelf order.
            pub const ALL: &'static [$name] = &[$($name::$variant,)+];

            /// The word in files.
            pub const fn name(self) -> &'static str {
                match self { $($name::$variant => $word,)+ }
            }

            /// The words in the window.
            pub const fn words(self) -> &'static str {
                match self { $($name::$variant => $label,)+ }
            }

            /// The one with the given file word.
            pub fn from_name(word: &str) -> Option<$name> {
                $name::ALL.iter().copied().find(|g| g.name() == word)
            }
        }
    };
}
pub(crate) use words;

words!(
    /// Group of a part on the shelf; also decides how it is drawn.
    Group {
        /// Main boards.
        Board = "board", "Boards";
        /// Power supplies.
        Supply = "supply", "Supplies";
        /// Fans.
        Fan = "fan", "Fans";
        /// Radiators.
        Radiator = "radiator", "Radiators";
        /// Disks and solid-state drives.
        Drive = "drive", "Drives";
        /// Expansion cards.
        Card = "card", "Cards";
        /// Air coolers for a processor.
        Cooler = "cooler", "Air coolers";
        /// Liquid blocks and pumps.
        Block = "block", "Liquid blocks";
        /// Memory modules.
        Memory = "memory", "Memory";
        /// Risers, adapters and hubs.
        Adapter = "adapter", "Adapters";
        /// Cages, brackets and trays.
        Bracket = "bracket", "Brackets";
        /// Anything else.
        Other = "other", "Other";
    }
);

words!(
    /// What a piece of a body means to others.
    Space {
        /// Material.
        Solid = "solid", "solid";
        /// Air or plug space that nothing may enter.
        KeepOut = "keep-out", "kept clear";
        /// Where a hand or a tool has to get in.
        Reach = "reach", "reach space";
    }
);

words!(
    /// A detail that is drawn so that the part looks like what it is.
    FeatureKind {
        /// A socket, slot or header that a plug goes into.
        Socket = "socket", "socket";
        /// A slot for a card or a module.
        Slot = "slot", "slot";
        /// The rear connector block of a board or card.
        RearBlock = "rear-block", "rear block";
        /// The processor's place.
        Processor = "processor", "processor";
        /// A chip.
        Chip = "chip", "chip";
        /// A heatsink: drawn with fins.
        Heatsink = "heatsink", "heatsink";
        /// A field of fins: radiators, tower coolers.
        Fins = "fins", "fins";
        /// The swept disc of fan blades.
        Blades = "blades", "blades";
        /// The middle of a fan or pump.
        Hub = "hub", "hub";
        /// A perforated field.
        Grille = "grille", "grille";
        /// A plug face or connector.
        Connector = "connector", "connector";
        /// A hose end.
        HoseEnd = "hose-end", "hose end";
        /// A metal bracket.
        Bracket = "bracket", "bracket";
        /// A heat pipe.
        Pipe = "pipe", "heat pipe";
        /// A label or cover field.
        Label = "label", "label";
        /// A switch.
        Switch = "switch", "switch";
    }
);

words!(
    /// Whether a port gives, takes, or either.
    Role {
        /// Gives power, data or flow.
        Source = "source", "source";
        /// Takes it.
        Sink = "sink", "sink";
        /// Either.
        Both = "both", "either";
    }
);

words!(
    /// What a header watches over, and what a lead belongs to: a board looks at the
    /// speed of what is in such a header (common practice, no source).
    Purpose {
        /// The processor's cooler.
        Processor = "processor", "the processor's cooler";
        /// A pump.
        Pump = "pump", "a pump";
    }
);

/// One solid of a body.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Piece {
    /// The solid in the part's frame.
    pub solid: Solid,
    /// What it means to others.
    pub space: Space,
    /// A short name for messages, may be empty.
    pub name: String,
}

/// A detail for drawing. It has no part in any check.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Feature {
    /// What it is.
    pub kind: FeatureKind,
    /// Where, in the part's frame.
    pub solid: Solid,
    /// A short name, may be empty.
    pub name: String,
}

/// A lead or hose that belongs to its part and has one fixed length.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct CaptiveLead {
    /// From the part to the plug's face.
    pub length: Length,
    /// Round or flat.
    pub section: Section,
    /// Smallest radius of its middle line.
    pub bend: Length,
}

/// A connector on a part.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Port {
    /// Unique in its part.
    pub id: String,
    /// For people.
    pub name: String,
    /// The connector's id in the catalogue. For a captive lead: of the plug at its
    /// free end.
    pub connector: String,
    /// Middle of the face that the plug goes into, or where the captive lead leaves.
    pub at: Vec3,
    /// The way in which plug and lead leave.
    pub leaves: Dir,
    /// Gives, takes or either.
    pub role: Role,
    /// Set where the lead belongs to the part.
    pub lead: Option<CaptiveLead>,
    /// True where the part does not work unless this port is connected.
    pub required: bool,
    /// What the part itself takes through it, in milliwatts; `None` where that is
    /// not known apart from what the part takes in all.
    pub draws_mw: Option<u32>,
    /// True where all that the part's sources give comes in here: hubs, splitters,
    /// adapters.
    pub passes: bool,
    /// What the header is there for, or what hangs on the lead; `None` for anything.
    pub purpose: Option<Purpose>,
}

/// Figures that other disciplines need. Absent means not known, never zero.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Ratings {
    /// Mass in grams.
    pub mass_g: Option<f64>,
    /// Power taken, in watts.
    pub draws_w: Option<f64>,
    /// Power that a supply can give, in watts.
    pub gives_w: Option<f64>,
    /// Price in the user's currency.
    pub cost: Option<f64>,
    /// Free-air flow in cubic metres an hour.
    pub flow_m3h: Option<f64>,
    /// Sound power or pressure level as the maker gives it, in decibels.
    pub sound_db: Option<f64>,
    /// Which of its own directions may point up while it runs. Empty means that it
    /// is not known.
    pub up: Vec<Dir>,
    /// How far its dimensions along its own x, y and z may be off, where known.
    pub deviation: [Option<Deviation>; 3],
    /// Single dimensions in its own frame with a figure of their own.
    pub dimensions: Dimensions,
}

/// How far a dimension may be off its nominal.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Deviation {
    /// Longer by at most this, not negative.
    pub plus: Length,
    /// Shorter by at most this, not negative.
    pub minus: Length,
}

/// How a part is pulled out.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Pull {
    /// The way, in the part's frame.
    pub way: Dir,
    /// How far until it is free.
    pub by: Length,
}

/// A kind of part.
#[derive(Clone, PartialEq, Debug)]
pub struct PartKind {
    /// Its id in the catalogue or scene.
    pub id: KindId,
    /// What it is, in words: 'fan, 120 mm, 25 thick'.
    pub name: String,
    /// Group on the shelf.
    pub group: Group,
    /// Outer size of the part's own box, which starts at the origin of its frame.
    pub size: Vec3,
    /// The body. At least one piece is solid.
    pub body: Vec<Piece>,
    /// Hole patterns by face.
    pub patterns: Vec<Pattern>,
    /// Zones that it offers to other parts.
    pub zones: Vec<Zone>,
    /// Connectors and captive leads.
    pub ports: Vec<Port>,
    /// Faces that must meet an opening of the enclosure.
    pub outlets: Vec<Outlet>,
    /// Details for drawing.
    pub features: Vec<Feature>,
    /// The way air leaves it, for fans.
    pub blows: Option<Dir>,
    /// How it is pulled out, for trays and the like.
    pub pulls: Option<Pull>,
    /// Of a board: the room in which its maker may put parts that are not drawn. Not
    /// solid. Empty means that it is not known.
    pub heights: Vec<Box3>,
    /// Electrical, thermal and commercial figures.
    pub ratings: Ratings,
    /// Sources of its figures.
    pub figures: Vec<Figure>,
}

impl PartKind {
    /// The part's own box: from the origin to its size.
    pub fn outline(&self) -> Box3 {
        Box3::at(Vec3::ZERO, self.size)
    }

    /// The port with this id.
    pub fn port(&self, id: &str) -> Option<&Port> {
        self.ports.iter().find(|p| p.id == id)
    }

    /// Outer size for lists: `120 x 120 x 25`.
    pub fn size_text(&self) -> String {
        format!("{} x {} x {}", self.size.x, self.size.y, self.size.z)
    }
}

/// Everything that parts, cables and enclosures are chosen from.
#[derive(Clone, Debug, Default)]
pub struct Catalogue {
    /// Part kinds by id.
    pub kinds: BTreeMap<KindId, Arc<PartKind>>,
    /// Enclosures by id.
    pub enclosures: BTreeMap<EnclosureId, Arc<Enclosure>>,
    /// Cable kinds by id.
    pub cables: BTreeMap<CableKindId, Arc<CableKind>>,
    /// Connectors by id.
    pub connectors: BTreeMap<String, Connector>,
}

impl Catalogue {
    /// True where a plug goes into a socket, whole or split. A plug that the
    /// catalogue does not know fits its own type only.
    pub fn fits(&self, plug: &str, socket: &str) -> bool {
        plug == socket || self.connectors.get(plug).is_some_and(|c| c.fits(socket))
    }
}
