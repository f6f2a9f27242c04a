//! What one part at one place does by itself, with the enclosure and with what does not move.

use super::pair::Judge;
use super::spot::No;
use super::wish::WIDE_GAP;
use crate::edit::Touched;
use crate::geom::Length;
use crate::model::{Catalogue, Scene, Settings, Zone};
use crate::placement::{Placed, PlacedPart, too_deep};
use crate::rules::{Anchor, Facts, Finding, Index, Needs, Rule, Severity, rule};
use std::collections::BTreeMap;

/// Rules whose answer on one part or on a part and a plate depends on nothing else.
const ON_PART: [&str; 2] = ["outside", "opening-missed"];
const ON_WALL: [&str; 2] = ["outside", "tight-gap"];

/// What a place costs by itself.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Unary {
    pub(super) cautions: u32,
    /// Smallest gap in micrometres to plates and to parts that do not move.
    pub(super) gap: i64,
}

/// Judges parts one by one.
pub(super) struct Alone<'a> {
    scene: &'a Scene,
    settings: &'a Settings,
    catalogue: &'a Catalogue,
    pairs: &'a Judge<'a>,
    fixed: &'a Placed,
    /// The enclosure with the one part in it.
    lonely: Placed,
    lonely_scene: Scene,
    on_part: Vec<&'static dyn Rule>,
    on_wall: Vec<&'static dyn Rule>,
}

impl<'a> Alone<'a> {
    pub(super) fn new(
        scene: &'a Scene,
        settings: &'a Settings,
        catalogue: &'a Catalogue,
        pairs: &'a Judge<'a>,
        fixed: &'a Placed,
    ) -> Self {
        let mut lonely_scene = Scene::new("", scene.enclosure.clone());
        lonely_scene.arrangement_mut().accepted = scene.arrangement().accepted.clone();
        Alone {
            scene,
            settings,
            catalogue,
            pairs,
            fixed,
            lonely: Placed::build(&lonely_scene),
            lonely_scene,
            on_part: ON_PART.into_iter().filter_map(rule).collect(),
            on_wall: ON_WALL.into_iter().filter_map(rule).collect(),
        }
    }

    /// What a place costs, or why it cannot be.
    pub(super) fn judge(&mut self, part: &PlacedPart, zone: Option<&Zone>) -> Result<Unary, No> {
        if let Some((needed, free)) = zone.and_then(|z| too_deep(z, &part.outline)) {
            let short = needed - free;
            return Err(No {
                telling: true,
                text: format!(
                    "{}: needs {} mm, {} is {} mm deep: {} mm short",
                    part.name,
                    needed.text1(),
                    zone.map_or("", |z| z.name.as_str()),
                    free.text1(),
                    short.text1()
                ),
                short: short.as_um(),
            });
        }
        let mut own = Unary {
            cautions: 0,
            gap: WIDE_GAP.as_um(),
        };
        self.beside_fixed(part, &mut own)?;
        self.in_enclosure(part, &mut own)?;
        Ok(own)
    }

    fn beside_fixed(&self, part: &PlacedPart, own: &mut Unary) -> Result<(), No> {
        let reach = self.settings.reach().max(self.pairs.look);
        for other in self.fixed.near(&part.span, reach) {
            let met = self.pairs.meet(part, other);
            if let Some(depth) = met.clash {
                return Err(No {
                    telling: true,
                    text: format!(
                        "{} and {} overlap by {} mm",
                        part.name,
                        other.name,
                        depth.text1()
                    ),
                    short: depth.as_um(),
                });
            }
            own.cautions += met.cautions;
            own.gap = own.gap.min(met.gap);
        }
        Ok(())
    }

    fn in_enclosure(&mut self, part: &PlacedPart, own: &mut Unary) -> Result<(), No> {
        let mut found = Vec::new();
        self.place(part);
        let facts = Facts {
            scene: self.scene,
            placed: &self.lonely,
            settings: self.settings,
            catalogue: self.catalogue,
            runs: &BTreeMap::new(),
            needs: &Needs::default(),
            hoses: &BTreeMap::new(),
            index: &Index::default(),
        };
        for r in &self.on_part {
            r.judge(&facts, Anchor::Part(part), &mut found);
        }
        for plate in self.fixed.plates_near(&part.span, self.settings.reach()) {
            for r in &self.on_wall {
                r.judge(&facts, Anchor::Wall(part, plate), &mut found);
            }
        }
        let accepted = &self.scene.arrangement().accepted;
        for f in found {
            let accepted = accepted.get(f.key_str());
            if accepted.is_some_and(|a| a.covers(f.severity, f.off())) {
                continue;
            }
            match f.severity {
                Severity::Stop => {
                    return Err(No {
                        telling: false,
                        short: shortfall(&f),
                        text: f.text,
                    });
                }
                Severity::Caution => {
                    own.cautions += 1;
                    if let (Some(gap), "tight-gap") = (f.available, f.rule) {
                        own.gap = own.gap.min(gap.as_um());
                    }
                }
                Severity::Remark => {}
            }
        }
        Ok(())
    }

    /// Puts the part alone into the enclosure, so that the rules know what holds it.
    fn place(&mut self, part: &PlacedPart) {
        let before: Vec<_> = self.lonely_scene.parts.keys().cloned().collect();
        let mut touched = Touched::default();
        for id in before {
            touched.part(&id);
        }
        touched.part(&part.id);
        self.lonely_scene.parts.clear();
        self.lonely_scene.parts.insert(
            part.id.clone(),
            crate::model::Part {
                name: part.name.clone(),
                kind: part.kind.clone(),
            },
        );
        let places = &mut self.lonely_scene.arrangement_mut().places;
        places.clear();
        places.insert(part.id.clone(), part.place);
        self.lonely.update(&self.lonely_scene, &touched);
    }
}

/// By how much a place is missed.
fn shortfall(f: &Finding) -> i64 {
    match (f.needed, f.available) {
        (Some(n), Some(a)) => (n - a).abs().max(Length::um(1)).as_um(),
        _ => i64::MAX - 1,
    }
}
