//! Ways of cables among all that stands in a scene: what a drawn way runs through
//! ([`meetings`]), and ways that run through nothing ([`lay`]).
//!
//! A way that was found is plain data: corners in the cable's `via`, which
//! [`route::run`](crate::route::run()) follows like any other place. So what judges a
//! scene stays as cheap as it is with straight ways, and gives the same each time.

mod all;
mod field;
mod find;
mod gates;
mod job;
mod lazy;
mod meets;
mod next;
mod nodes;
mod solid;
mod spans;
mod ties;
mod under;
mod why;
mod wind;

pub use all::{Outcome, lay_all};
pub use find::{Desk, Laid, NotLaid, Under, Wish, lay};
pub use gates::{FILL, Gates, gets_through, goes_through, users, uses};
pub use meets::{Meeting, Met, meetings, reach};
pub use next::ways;
pub use spans::{Span, free_spans, held_reach, longest_free};
pub use under::leads_under;
