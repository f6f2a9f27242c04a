//! The rules: one file each, with what it checks, why, its wording, hint, fix
//! and tests.
//!
//! Rules are pure and know nothing of one another. Each is asked about one
//! [`Anchor`] at a time: a part, a pair of near parts, a part near a plate and so
//! on; the [`Checker`] decides which of them a change has touched. A rule that
//! cannot judge says so by a finding that is marked `unjudged`.
//!
//! To add a rule: write `rules/<name>.rs`, add it to [`RULES`].

mod checker;
mod common;
mod finding;
mod hangs_free;
mod hinge;
mod near_ways;
mod nearest;
mod needs;
mod overlaps;
mod report;
mod said;
mod shade;
mod shade_open;
mod space_table;
mod store;
mod sweep;

mod beside;
mod bundle_thick;
mod cable_short;
mod card_sag;
mod clash;
mod cooler_heavy;
mod cutout_idle;
mod depth_short;
mod drive_turn;
mod exhaust_intake;
mod exhaust_warmed;
mod fan_air;
mod fan_air_all;
mod filter_reach;
mod gap_uncertain;
mod header_astray;
mod hose_reach;
mod hose_top;
mod index;
mod keep_in;
mod lead_unfed;
mod leftover_room;
mod memory_under;
mod opening_missed;
mod outside;
mod passage_full;
mod plug_overload;
mod plug_pairs;
mod plug_space;
mod plug_tail;
mod port_twice;
mod port_unmatched;
mod pull_blocked;
mod pump_high;
mod space_blocked;
mod swing_blocked;
mod tight_gap;
mod tuck_air;
mod unheld;
mod way_blocked;

pub use checker::Checker;
pub use finding::{Finding, FindingMark, Severity, Subject};
pub use index::{Index, Led};
pub use needs::{Need, Needs, Why};
pub use report::{Report, report};
pub use space_table::{MEETINGS, Meeting, meeting};
pub use sweep::{Sweep, panel_sweep, sweeps, swings_with};

use crate::model::{Cable, CableId, Catalogue, Part, PartId, PortRef, Scene, Settings, ZoneRef};
use crate::placement::{Placed, PlacedPart, PlacedPlate, Stack};
use crate::route::CableRun;
use crate::route::hose::Hose;
use std::collections::BTreeMap;

/// What a rule is asked about.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Scope {
    /// Each placed part.
    Part,
    /// Each placed part that needs space around it, also where something in that space came,
    /// went or moved.
    Around,
    /// Each pair of placed parts that come within the largest gap of one another, or
    /// of which one may stand in a space that the other needs.
    Pair,
    /// Each placed part with each plate within the largest gap, or that may stand in
    /// a space that the part needs.
    Wall,
    /// Each zone of limited depth that something stands on.
    Zone,
    /// Each cable.
    Cable,
    /// Each cable, also where something near its way came, went or moved.
    Way,
    /// Each port with a cable.
    Port,
    /// Each part that lies beside the enclosure.
    Beside,
    /// The scene as a whole, at every change: keep it cheap.
    Scene,
}

/// The one thing to judge.
#[derive(Clone, Copy, Debug)]
pub enum Anchor<'a> {
    /// For [`Scope::Part`].
    Part(&'a PlacedPart),
    /// For [`Scope::Around`].
    Around(&'a PlacedPart),
    /// For [`Scope::Pair`]; the smaller id first.
    Pair(&'a PlacedPart, &'a PlacedPart),
    /// For [`Scope::Wall`].
    Wall(&'a PlacedPart, &'a PlacedPlate),
    /// For [`Scope::Zone`].
    Zone(&'a ZoneRef, &'a Stack),
    /// For [`Scope::Cable`] and [`Scope::Way`].
    Cable(&'a CableId, &'a Cable),
    /// For [`Scope::Port`].
    Port(&'a PortRef),
    /// For [`Scope::Beside`].
    Beside(&'a PartId, &'a Part),
    /// For [`Scope::Scene`].
    Scene,
}

/// Everything a rule may look at.
#[derive(Clone, Copy)]
pub struct Facts<'a> {
    /// The scene.
    pub scene: &'a Scene,
    /// Where everything stands.
    pub placed: &'a Placed,
    /// Figures to judge by.
    pub settings: &'a Settings,
    /// Connectors and cable kinds.
    pub catalogue: &'a Catalogue,
    /// The ways of all cables.
    pub runs: &'a BTreeMap<CableId, CableRun>,
    /// How the hoses lie, one a stretch, by cable.
    pub hoses: &'a BTreeMap<CableId, Vec<Hose>>,
    /// The space that each part needs around it.
    pub needs: &'a Needs,
    /// What rules on the whole scene look up.
    pub index: &'a Index,
}

/// A rule.
pub trait Rule: Sync {
    /// Short and stable; part of keys.
    fn id(&self) -> &'static str;
    /// For headings.
    fn title(&self) -> &'static str;
    /// What it checks, why, and where its figures come from.
    fn about(&self) -> &'static str;
    /// What it wants to be asked about.
    fn scopes(&self) -> &'static [Scope];
    /// Judges one thing and adds what it finds. Depends on nothing but the
    /// arguments, and not on the order in which it is asked.
    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>);
}

/// All rules.
pub static RULES: &[&dyn Rule] = &[
    &clash::Clash,
    &tight_gap::TightGap,
    &gap_uncertain::GapUncertain,
    &outside::Outside,
    &cutout_idle::CutoutIdle,
    &unheld::Unheld,
    &depth_short::DepthShort,
    &opening_missed::OpeningMissed,
    &cable_short::CableShort,
    &way_blocked::WayBlocked,
    &hangs_free::HangsFree,
    &hose_reach::HoseReach,
    &port_twice::PortTwice,
    &port_unmatched::PortUnmatched,
    &lead_unfed::LeadUnfed,
    &header_astray::HeaderAstray,
    &plug_overload::PlugOverload,
    &plug_tail::PlugTail,
    &passage_full::PassageFull,
    &bundle_thick::BundleThick,
    &leftover_room::LeftoverRoom,
    &tuck_air::TuckAir,
    &space_blocked::SpaceBlocked,
    &plug_space::PlugSpace,
    &pull_blocked::PullBlocked,
    &swing_blocked::SwingBlocked,
    &memory_under::MemoryUnder,
    &keep_in::KeepIn,
    &fan_air::FanAir,
    &exhaust_intake::ExhaustIntake,
    &pump_high::PumpHigh,
    &hose_top::HoseTop,
    &drive_turn::DriveTurn,
    &card_sag::CardSag,
    &cooler_heavy::CoolerHeavy,
    &filter_reach::FilterReach,
    &beside::Beside,
];

/// The rule with this id.
pub fn rule(id: &str) -> Option<&'static dyn Rule> {
    RULES.iter().copied().find(|r| r.id() == id)
}
