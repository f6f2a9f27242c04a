//! The program looks for arrangements of a scene: exact search over places on screw
//! holes, judged by all rules.
//!
//! [`seek`] takes a [`Wish`]: which parts may move, what must hold, what counts. Places of
//! each part (`spot`) and what pairs of them do to one another (`pair`, `leads`) go into
//! tables, the tables become a problem of the exact search (`puzzle`), and what that finds is
//! put into the scene, has its cables led (`beyond`) and is judged by the true checker
//! (`trial`). Where the checker stops an arrangement, the reason is learned as one more rule
//! and the search goes on; so nothing is shown that breaks a stop rule. Where an arrangement
//! costs more than the tables say, for a cable goes round something or a rule that they do not
//! know has a caution, what stays so whatever else stands where is learned as a cost
//! (`lessons`). The bound holds for whatever has not been looked at, ways being as long as
//! `route::ways` leads them with nothing more in their way.

mod answer;
mod best;
mod beyond;
mod choices;
mod few;
mod leads;
mod lessons;
mod looked;
mod pair;
mod puzzle;
mod run;
mod seek;
mod spot;
mod tables;
mod trial;
mod unary;
mod wish;
mod words;

pub use answer::{AS_IT_STANDS, Answer, AtHand, Clash, End, Figures, Found, News};
pub use choices::{Choices, choices, turn_from, turn_words, zone_from};
pub use few::{Few, few};
pub use puzzle::Demand;
pub use run::Run;
pub use seek::seek;
pub use wish::{Aim, MOST_WEIGHT, WIDE_GAP, Weights, Wish};
