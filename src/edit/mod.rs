//! The only way to change a scene: an [`Edit`], or a step of the [`History`].
//!
//! Edits are checked as a whole before anything changes, so an edit that is
//! refused leaves the scene as it was.

mod apply;
mod history;
#[cfg(test)]
mod kind_tests;
mod touched;

pub use apply::{EditError, apply};
pub use history::History;
pub use touched::Touched;

use crate::model::{
    Acceptance, Arrangement, Cable, CableId, Enclosure, Measured, Part, PartId, PartKind, Place,
    Span,
};
use std::sync::Arc;

/// One change of a scene. Places, cables and accepted findings belong to the
/// arrangement at hand.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    /// Adds a part under a free id; without a place it lies beside the enclosure.
    AddPart {
        /// A free id.
        id: PartId,
        /// The part.
        part: Part,
        /// Where it stands.
        place: Option<Place>,
    },
    /// Takes a part and every cable on it out of all arrangements.
    RemovePart(PartId),
    /// Moves, turns, locks, hides; `None` lays the part beside the enclosure and
    /// takes its cables off.
    SetPlace(PartId, Option<Place>),
    /// Gives a part another name.
    Rename(PartId, String),
    /// Swaps a part for one of another kind in the arrangement at hand; cables on
    /// ports that the new kind lacks are taken off.
    SetKind(PartId, Arc<PartKind>),
    /// Adds, changes or (with `None`) removes a cable.
    SetCable(CableId, Option<Cable>),
    /// Accepts a finding by key; `None` takes that back.
    Accept(String, Option<Acceptance>),
    /// Notes what a dimension of a part or (`None`) of the enclosure was measured to be;
    /// without a figure it is forgotten.
    Measure {
        /// Whose dimension.
        of: Option<PartId>,
        /// Which.
        span: Span,
        /// What it is.
        is: Option<Measured>,
    },
    /// Title of the scene.
    SetTitle(String),
    /// Notes of the scene.
    SetNotes(String),
    /// Another enclosure; parts keep their places.
    SetEnclosure(Arc<Enclosure>),
    /// Adds an arrangement at the end and chooses it.
    AddArrangement(Arrangement),
    /// Removes the arrangement with this index; the last one stays.
    RemoveArrangement(usize),
    /// Names the arrangement with this index.
    RenameArrangement(usize, String),
    /// Chooses the arrangement with this index.
    Choose(usize),
    /// Moves the arrangement with the first index to the second; the one at hand
    /// stays at hand.
    MoveArrangement(usize, usize),
}
