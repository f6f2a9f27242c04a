//! What a scene is made of: part kinds, enclosures, cables, arrangements.
//!
//! Plain data with public fields where any value is sound, constructors where
//! not. Nothing here reads files, draws, or judges; nothing here changes a scene
//! by itself (that is `edit`). A part kind and an enclosure are shared behind
//! `Arc`, so a clone of a scene is cheap enough for one undo step each.

pub mod acceptance;
pub mod cable;
pub mod cut;
pub mod enclosure;
pub mod figure;
pub mod id;
pub mod kind;
pub mod measured;
pub mod mount;
pub mod pins;
pub mod scene;
pub mod settings;
pub mod shop;
mod variants;

pub use acceptance::{Acceptance, Amount, Off, Severity, Unit};
pub use cable::{Cable, CableKind, Connector, Extension, PlugEnd, Section, System, Via};
pub use cut::Idle;
pub use enclosure::{Cutout, Enclosure, Opening, Panel, Passage, Plate, Tie, Tuck, Vent};
pub use figure::{Confidence, Figure};
pub use id::{CableId, CableKindId, EnclosureId, KindId, PartId};
pub use kind::{
    CaptiveLead, Catalogue, Deviation, Feature, FeatureKind, Group, PartKind, Piece, Port, Pull,
    Purpose, Role, Space,
};
pub use measured::{Dimensions, Measured, Span};
pub use mount::{Frame, Hole, HoleShape, Outlet, Pattern, Zone};
pub use scene::{Arrangement, Part, Place, PortRef, Scene, ZoneRef};
pub use settings::{Limits, PairClass, Settings, Step};
pub use shop::{Bitmap, MAX_LOGO_PX, Shop};
