//! What a search gives back, and what it tells on its way.

use super::puzzle::Demand;
use crate::edit::Edit;
use crate::geom::Length;
use crate::model::{Arrangement, PartId, PartKind, Scene};
use std::collections::BTreeMap;
use std::sync::Arc;

/// An arrangement without a stop finding.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// Places and cables, under a name that is free in the scene; under its own where it is
    /// what stands there already.
    pub arrangement: Arrangement,
    /// Parts that became another kind.
    pub kinds: BTreeMap<PartId, Arc<PartKind>>,
    /// All aims together; the fewer, the better.
    pub points: f64,
    /// What it comes to.
    pub figures: Figures,
    /// True where no arrangement that differs enough from those before it is better.
    pub proved: bool,
    /// True where it is what the search started from, cables and all: nothing to carry out.
    pub stands: bool,
}

/// What a result is called that is what the search started from.
pub const AS_IT_STANDS: &str = "as it stands";

impl Found {
    /// Its name, or that it is what stands there already.
    pub fn title(&self) -> &str {
        match self.stands {
            true => AS_IT_STANDS,
            false => &self.arrangement.name,
        }
    }

    /// Whether the arrangement at hand of `scene` is this one.
    pub fn is_at_hand(&self, scene: &Scene) -> bool {
        self.in_place(scene).is_empty()
    }

    /// The edits that put it in place of the arrangement at hand of `scene`.
    pub fn in_place(&self, scene: &Scene) -> Vec<Edit> {
        let mut edits = self.swaps(scene);
        let now = scene.arrangement();
        for (id, place) in &self.arrangement.places {
            let locked = now.places.get(id).is_some_and(|p| p.locked);
            let place = crate::model::Place { locked, ..*place };
            if scene.parts.contains_key(id) && now.places.get(id) != Some(&place) {
                edits.push(Edit::SetPlace(id.clone(), Some(place)));
            }
        }
        for (id, cable) in &self.arrangement.cables {
            if now.cables.contains_key(id) && now.cables.get(id) != Some(cable) {
                edits.push(Edit::SetCable(id.clone(), Some(cable.clone())));
            }
        }
        edits
    }

    /// The edits that add it to `scene` as a further arrangement, which is then at hand.
    pub fn as_new(&self, scene: &Scene) -> Vec<Edit> {
        let mut edits = self.swaps(scene);
        edits.push(Edit::AddArrangement(self.arrangement.clone()));
        edits
    }

    fn swaps(&self, scene: &Scene) -> Vec<Edit> {
        let kinds = self.kinds.iter();
        kinds
            .filter(|(id, kind)| scene.parts.get(*id).is_some_and(|p| p.kind.id != kind.id))
            .map(|(id, kind)| Edit::SetKind(id.clone(), kind.clone()))
            .collect()
    }
}

/// What an arrangement comes to.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Figures {
    /// What all cables and hoses need together, as they are led.
    pub cables: Length,
    /// Open findings of severity caution, of all rules but the one on ways.
    pub cautions: usize,
    /// Cables that run through something: no free way was found for them.
    pub blocked: usize,
    /// Smallest gap between a movable part and anything that it does not hold to;
    /// `None` where it is 10 mm or more. The comparison's smallest gap is another figure: it
    /// looks at all parts, and not at what touches.
    pub movable_gap: Option<Length>,
    /// Parts that do not stay where they are.
    pub moved: usize,
}

impl Figures {
    /// Cables without a free way, in words; nothing where there are none.
    pub fn ways_words(&self) -> String {
        match self.blocked {
            0 => String::new(),
            n => format!(", {n} without a free way"),
        }
    }

    /// The smallest gap around what may move, in words. What only touches is no gap in the
    /// comparison, which looks at all parts; here it is said, for it counts as nothing between.
    pub fn gap_words(&self) -> String {
        match self.movable_gap {
            Some(Length::ZERO) => "none, touching".to_owned(),
            Some(gap) => format!("{} mm", gap.text1()),
            None => "10 mm or more".to_owned(),
        }
    }
}

/// The arrangement that the search started from, valued like those it finds.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct AtHand {
    /// All aims together; `None` where it has a stop, or a part beside the enclosure.
    pub points: Option<f64>,
    /// Open stop findings.
    pub stops: usize,
    /// What it comes to.
    pub figures: Figures,
}

impl AtHand {
    /// '412.6 points' or what keeps it from being valued.
    pub fn words(&self) -> String {
        match (self.points, self.stops) {
            (Some(points), _) => format!("{points:.1} points"),
            (None, 0) => "not valued, for a part stands where none may".to_owned(),
            (None, 1) => "not valued, for it has 1 stop".to_owned(),
            (None, n) => format!("not valued, for it has {n} stops"),
        }
    }
}

/// Demands that cannot all be met.
#[derive(Clone, Debug, PartialEq)]
pub struct Clash {
    /// What is demanded; empty where what does not move is already too much.
    pub demands: Vec<Demand>,
    /// The same in words, one each.
    pub words: Vec<String>,
    /// Where more is known: what stands in the way.
    pub why: Option<String>,
    /// Without any one of the demands the others can be met.
    pub smallest: bool,
}

/// How a search ended.
#[derive(Clone, Debug, PartialEq)]
pub enum End {
    /// As many arrangements as asked for, or all that differ enough; each proved best of
    /// what was left.
    Proved,
    /// The best is within this share of the best possible (0.03 for 3 %); time was up or
    /// the search was cancelled. Only where all places could be looked at.
    Within(f64),
    /// The best that was found; how near it is to the best possible is not known, for there are
    /// places that were not looked at, and time was up or the search was cancelled.
    SoFar,
    /// The best of the places that were looked at; there are more.
    BestLooked,
    /// There is no arrangement without a stop.
    Impossible(Clash),
    /// Of the places that were looked at none works, for these demands cannot all be met there;
    /// at least so many places were left out.
    NoneLooked(Clash, usize),
    /// Whatever places are taken, this stop stays: places do not decide on it.
    Stays(String),
    /// No part may move.
    NothingMoves,
    /// Stopped before anything was found.
    Stopped,
}

/// All that a search found.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// Best first.
    pub found: Vec<Found>,
    /// What it started from; `None` where it did not get that far.
    pub at_hand: Option<AtHand>,
    /// How it ended.
    pub end: End,
    /// How many places were looked at, over all parts.
    pub places: usize,
    /// What is worth saying beside, a sentence each.
    pub notes: Vec<String>,
}

/// What a search tells on its way.
#[derive(Clone, Debug, PartialEq)]
pub enum News {
    /// Parts that may move, and places that they could take in all.
    Looked {
        /// Parts.
        parts: usize,
        /// Places.
        places: usize,
    },
    /// What the search starts from.
    AtHand(AtHand),
    /// No arrangement has fewer points than the first; the best so far has the second.
    Bound {
        /// The bound.
        least: f64,
        /// The best so far.
        best: Option<f64>,
    },
    /// The arrangement at this position of the list, from 0, for now or (`proved`) for good.
    Found(usize, Box<Found>),
    /// With the list at hand, one that is better than its first: it comes before that, and may
    /// stand farther down already.
    Better(Box<Found>),
}

impl Answer {
    /// How it ended, in one sentence.
    pub fn words(&self) -> String {
        match &self.end {
            End::Proved if self.found.first().is_some_and(|f| f.stands) => {
                match self.found.len() - 1 {
                    0 => "As it stands it is proved best.".to_owned(),
                    1 => "As it stands it is proved best; one more is next to it.".to_owned(),
                    n => format!("As it stands it is proved best; {n} more are next to it."),
                }
            }
            End::Proved if self.found.len() == 1 => "One arrangement, proved best.".to_owned(),
            End::Proved => format!(
                "{} arrangements; the first is proved best.",
                self.found.len()
            ),
            End::Within(share) => within(*share),
            End::SoFar => {
                "The best that was found; how near it is to the best possible is not known, for not all places were looked at.".to_owned()
            }
            End::BestLooked => {
                "The best of the places that were looked at; there are more.".to_owned()
            }
            End::Impossible(clash) => clash.sentence(),
            End::NoneLooked(clash, left_out) => clash.so_far(*left_out),
            End::Stays(what) => format!("No place of the movable parts ends this: {what}."),
            End::NothingMoves => "No part may move: choose some, or unlock them.".to_owned(),
            End::Stopped => "Stopped before anything was found.".to_owned(),
        }
    }
}

/// 'Within 3 % of the best possible', the share rounded up.
fn within(share: f64) -> String {
    if share <= 0.0 {
        return "As good as the best possible.".to_owned();
    }
    let percent = share * 100.0;
    match percent {
        p if p < 1.0 => "Within 1 % of the best possible.".to_owned(),
        p => format!("Within {:.0} % of the best possible.", p.ceil()),
    }
}

impl Clash {
    /// 'Proved impossible: ...'
    pub fn sentence(&self) -> String {
        match self.matter() {
            Some(matter) => format!("Proved impossible: {matter}."),
            None => "Proved impossible, whatever is left out of what may move.".to_owned(),
        }
    }

    /// What is true where only some places were looked at: 'Of the places that were looked at
    /// none works; at least 12 were left out. ...'
    pub(super) fn so_far(&self, left_out: usize) -> String {
        let mut text = match left_out {
            1 => {
                "Of the places that were looked at none works; at least one was left out".to_owned()
            }
            n => {
                format!("Of the places that were looked at none works; at least {n} were left out")
            }
        };
        match self.matter() {
            Some(matter) => text.push_str(&format!(". Of those looked at: {matter}.")),
            None => text.push('.'),
        }
        text
    }

    /// What cannot be met, and why where that is known; `None` where no demand is to blame.
    fn matter(&self) -> Option<String> {
        let mut alike: Vec<(usize, &str)> = Vec::new();
        for words in &self.words {
            match alike.iter_mut().find(|(_, w)| w == words) {
                Some((n, _)) => *n += 1,
                None => alike.push((1, words)),
            }
        }
        // Parts of one name are counted: 'a' and 'a' would say nothing.
        let quoted = alike.iter().map(|(n, words)| match n {
            1 => format!("'{words}'"),
            n => format!("{n} of '{words}'"),
        });
        let quoted: Vec<String> = quoted.collect();
        let go_in = |d: &Demand| matches!(d, Demand::GoesIn(_));
        let parts = !self.demands.is_empty() && self.demands.iter().all(go_in);
        let cannot = match (self.words.len(), parts) {
            (2, true) => "cannot both go in",
            (2, false) => "cannot both be met",
            (_, true) => "cannot all go in together",
            (_, false) => "cannot all be met together",
        };
        let mut text = match quoted.as_slice() {
            [] => return None,
            [one] if self.words.len() == 1 => one.clone(),
            [one] => format!("{one} {cannot}"),
            [one, other] if self.words.len() == 2 => {
                format!("{one} with {other} {cannot}")
            }
            [most @ .., last] => {
                format!("{} and {last} {cannot}", most.join(", "))
            }
        };
        if let Some(why) = &self.why {
            text.push_str(": ");
            text.push_str(why);
        }
        Some(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_rounded_up_so_that_the_promise_holds() {
        assert_eq!(within(0.0301), "Within 4 % of the best possible.");
        assert_eq!(within(0.002), "Within 1 % of the best possible.");
        assert_eq!(within(0.0), "As good as the best possible.");
    }

    #[test]
    fn parts_of_one_name_are_counted() {
        let clash = |words: &[&str]| Clash {
            demands: words
                .iter()
                .map(|_| Demand::GoesIn(PartId::new("drive").unwrap()))
                .collect(),
            words: words.iter().map(|w| (*w).to_owned()).collect(),
            why: None,
            smallest: true,
        };
        for (words, says) in [
            (&["a"][..], "'a'."),
            (&["a", "b"], "'a' with 'b' cannot both go in."),
            (&["a", "a"], "2 of 'a' cannot both go in."),
            (
                &["a", "b", "a"],
                "2 of 'a' and 'b' cannot all go in together.",
            ),
        ] {
            let sentence = clash(words).sentence();
            assert_eq!(sentence, format!("Proved impossible: {says}"));
        }
    }

    #[test]
    fn a_conflict_names_its_demands() {
        let clash = Clash {
            demands: Vec::new(),
            words: vec!["card of 312 mm".into(), "radiator of 45 mm".into()],
            why: Some("they overlap by 9.0 mm at least".into()),
            smallest: true,
        };
        assert_eq!(
            clash.sentence(),
            "Proved impossible: 'card of 312 mm' with 'radiator of 45 mm' cannot both be met: \
             they overlap by 9.0 mm at least."
        );
    }
}
