//! The smallest enclosure that takes all parts.

use super::{Asker, Reply};
use crate::edit::Edit;
use crate::model::{Enclosure, Scene};
use crate::search::scene::{End, Weights, Wish};
use std::sync::Arc;

pub(super) fn smallest(asker: &Asker) -> Reply {
    let mut enclosures: Vec<&Arc<Enclosure>> = asker.catalogue.enclosures.values().collect();
    if asker.scene.own_enclosure {
        enclosures.push(&asker.scene.enclosure);
    }
    let bulk = |e: &Enclosure| e.outline().volume_mm3();
    enclosures.sort_by(|a, b| bulk(a).total_cmp(&bulk(b)).then(a.id.cmp(&b.id)));
    let mut lines = Vec::new();
    for enclosure in enclosures {
        if asker
            .run
            .cancel
            .is_some_and(|c| c.load(std::sync::atomic::Ordering::Relaxed))
        {
            return Reply::no("Stopped before an enclosure was found.");
        }
        let scene = beside(asker.scene, enclosure);
        let mut wish = Wish::of(&scene);
        wish.weights = Weights::none();
        wish.longer_cables = true;
        wish.top = 1;
        let answer = asker.seek(&scene, &wish);
        let litres = bulk(enclosure) / 1e6;
        let name = format!("{}, {litres:.1} litres", enclosure.name);
        if let Some(found) = answer.found.first() {
            let sure =
                lines.is_empty() || !lines.iter().any(|l: &String| l.ends_with("not known."));
            let mut all = vec![match sure {
                true => format!("The smallest that takes all parts: {name}."),
                false => format!("It takes all parts: {name}; a smaller one may do."),
            }];
            all.append(&mut lines);
            let mut edits = vec![Edit::SetEnclosure(enclosure.clone())];
            edits.extend(found.in_place(&scene));
            return Reply {
                lines: all,
                edits,
                yes: true,
            };
        }
        lines.push(match &answer.end {
            End::Impossible(clash) => format!("{name}: {}", clash.sentence()),
            End::Stays(what) => format!("{name}: {what}."),
            _ => format!("{name}: not known."),
        });
    }
    lines.insert(
        0,
        "No enclosure of the catalogue takes all parts.".to_owned(),
    );
    Reply {
        lines,
        ..Reply::default()
    }
}

/// All parts beside another enclosure; cables are led through nothing in particular.
fn beside(scene: &Scene, enclosure: &Arc<Enclosure>) -> Scene {
    let mut scene = scene.clone();
    scene.enclosure = enclosure.clone();
    let arrangement = scene.arrangement_mut();
    arrangement.places.clear();
    for cable in arrangement.cables.values_mut() {
        for plug in &mut cable.plugs {
            plug.via.clear();
        }
    }
    scene
}
