//! What the tests of the search share: a desk with catalogue and rules, and all places of a
//! part found without the search.

use closefit::edit::{self, Edit};
use closefit::file;
use closefit::geom::Length;
use closefit::model::{Catalogue, PartId, Place, Scene, Settings};
use closefit::placement::{Placed, lays};
use closefit::rules::{Checker, Severity};
use std::collections::BTreeSet;
use std::sync::Arc;

pub struct Desk {
    pub catalogue: Arc<Catalogue>,
    pub settings: Arc<Settings>,
}

impl Desk {
    pub fn new() -> Desk {
        Desk {
            catalogue: Arc::new(file::assets::catalogue().unwrap()),
            settings: Arc::new(file::assets::settings().unwrap()),
        }
    }

    pub fn example(&self, name: &str) -> Scene {
        let path = format!("{}/scenes/{name}.json", env!("CARGO_MANIFEST_DIR"));
        file::read_scene(&std::fs::read(path).unwrap(), &self.catalogue).unwrap()
    }

    pub fn checked(&self, scene: &Scene) -> Checker {
        let mut checker =
            Checker::new(self.settings.clone()).with_catalogue(self.catalogue.clone());
        checker.check_all(scene);
        checker
    }

    pub fn stops(&self, scene: &Scene) -> usize {
        let checker = self.checked(scene);
        let findings = checker.findings();
        findings
            .iter()
            .filter(|f| f.severity == Severity::Stop)
            .count()
    }

    pub fn cables(&self, scene: &Scene) -> Length {
        self.checked(scene).runs().values().map(|r| r.needed).sum()
    }
}

pub fn id(text: &str) -> PartId {
    PartId::new(text).unwrap()
}

pub fn ids(texts: &[&str]) -> BTreeSet<PartId> {
    texts.iter().map(|t| id(t)).collect()
}

/// All places of a part on the zones of the enclosure and of what does not move, and the one
/// where it stands.
pub fn places(scene: &Scene, moving: &BTreeSet<PartId>, part: &PartId) -> Vec<Place> {
    let mut fixed = scene.clone();
    for id in moving {
        edit::apply(&mut fixed, &Edit::SetPlace(id.clone(), None)).unwrap();
    }
    let placed = Placed::build(&fixed);
    let kind = &scene.parts[part].kind;
    let now = scene.arrangement().places[part];
    let own = placed.enclosure().zones.iter();
    let zones = own.chain(placed.parts().flat_map(|p| p.zones.iter()));
    let mut all = vec![now];
    for zone in zones.filter(|z| z.takes.is_empty() || z.takes.contains(&kind.group)) {
        for lay in lays(kind, zone) {
            let known = |p: &Place| p.at == lay.place.at && p.turn == lay.place.turn;
            if !all.iter().any(known) {
                all.push(lay.place);
            }
        }
    }
    all
}
