//! Derived facts of a scene: where everything stands, what is near what, which
//! holes lie on which, what carries what. Nothing here judges.
//!
//! [`Placed`] is built once and then follows the scene's changes at a cost in
//! proportion to what was touched. The result is the same either way.

mod all_near;
mod apart;
mod bore;
mod gap;
pub(crate) mod grid;
mod hold;
mod holes;
mod measure;
mod offer;
mod pair;
mod part;
mod plate;
mod plate_cut;
mod plate_holes;
mod refuse;
mod screw;
mod seat;
mod sides;
mod support;
mod table;
mod tolerance;
mod vacant;

pub use all_near::{AllNear, Near};
pub use apart::{Apart, apart};
pub use gap::{Body, Gap, between, travel};
pub use hold::Hold;
pub(crate) use holes::match_indices;
pub use holes::{FACE_PLAY, HoleMatch, SEAT_PLAY, match_holes};
pub use measure::Closest;
pub use offer::{Lay, Offer, Outcome, Refusal, lays, offers, snap};
pub use pair::{Joint, too_deep};
pub use part::{PlacedPart, PlacedPiece, PlacedPort};
pub use plate::PlacedPlate;
pub(crate) use plate_cut::without;
pub(crate) use screw::{major, thickest_through};
pub use seat::SEAT_REACH;
pub use sides::{Side, Thing};
pub use support::{Stack, Support};
pub use table::{Dirty, Placed, ZoneKey};
pub use tolerance::{Broken, Chain, Chains, Face, Link, Slope, Source, Spread};
