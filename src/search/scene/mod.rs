//! The program looks for arrangements of a scene: exact search over places on screw
//! holes, judged by all rules.
//!
//! [`seek`] takes a [`Wish`]: which parts may move, what must hold, what counts. Places of
//! each part (`spot`) and what pairs of them do to one another (`pair`, `leads`) go into
//! tables, the tables become a problem of the exact search (`puzzle`), and what that finds is
//! put into the scene and judged by the true checker (`trial`). Where the checker stops an
//! arrangement, the reason is learned as one more rule and the search goes on; so nothing is
//! shown that breaks a stop rule, and the bound holds for whatever has not been looked at.

mod answer;
mod few;
mod leads;
mod pair;
mod puzzle;
mod seek;
mod spot;
mod tables;
mod trial;
mod unary;
mod wish;
mod words;

pub use answer::{Answer, Clash, End, Found, News};
pub use few::{Few, few};
pub use puzzle::Demand;
pub use seek::{Run, seek};
pub use trial::Figures;
pub use wish::{Aim, MOST_WEIGHT, WIDE_GAP, Weights, Wish};
