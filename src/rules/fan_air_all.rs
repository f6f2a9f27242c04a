//! What takes a fan's air together, though nothing of it takes too much alone.

use super::common::{mounted_on, part};
use super::fan_air::{airs, in_series, loss, opened, plate_covers};
use super::needs::Need;
use super::shade::Cover;
use super::shade_open::Opening;
use super::{Facts, Finding, Severity, Subject};
use crate::geom::{Dir, Length};
use crate::model::Space;
use crate::placement::PlacedPart;

/// So many solids before one face are looked at together; where there are more, that is said.
const MOST_COVERS: usize = 256;

/// Something before a fan: its name, whose it is, and how much it takes alone, in percent.
struct Alone {
    name: String,
    subject: Subject,
    percent: f64,
}

impl Alone {
    /// By name, and by id where another one of them has the same.
    fn said(&self, all: &[Alone]) -> String {
        let twin = |o: &&Alone| o.name == self.name && o.subject != self.subject;
        match (&self.subject, all.iter().find(twin)) {
            (Subject::Part(id), Some(_)) => format!("{} ({id})", self.name),
            (Subject::Plate(id), Some(_)) => format!("{} ({id})", self.name),
            _ => self.name.clone(),
        }
    }
}

/// A finding where all that stands before one face of a fan takes more of its air than may be
/// taken, and none of it does so alone: those are found one by one. It names what takes most.
pub(super) fn together(facts: &Facts, fan: &PlacedPart) -> Option<Finding> {
    // Without a limit that is said of each of them.
    let most = facts.settings.limits.fan_loss_percent? as f64;
    let mut worst: Option<(f64, Finding)> = None;
    for (need, dir) in airs(facts, fan) {
        let found = match side(facts, fan, need, dir) {
            // What was judged too much on the other side comes before what was not judged.
            Side::Many => Some((0.0, many(fan, need))),
            Side::Takes(percent, all) => {
                let alone = all.iter().any(|a| a.percent > most + 1e-6);
                let over = percent > most + 1e-6 && !alone && all.len() > 1;
                over.then(|| (percent, found(fan, need, dir, percent, most, all)))
            }
        };
        if let Some(found) = found
            && worst.as_ref().is_none_or(|w| found.0 > w.0)
        {
            worst = Some(found);
        }
    }
    worst.map(|w| w.1)
}

enum Side {
    Many,
    /// In percent of the face, with what takes something.
    Takes(f64, Vec<Alone>),
}

fn side(facts: &Facts, fan: &PlacedPart, need: &Need, dir: Dir) -> Side {
    let placed = facts.placed;
    let mut all = Vec::new();
    let mut covers: Vec<Cover> = Vec::new();
    let guests = placed.near(&need.space, Length::ZERO);
    for guest in guests.into_iter().filter(|g| g.slot != fan.slot) {
        if placed.holds_each_other(&fan.id, &guest.id) || in_series(guest, dir) {
            continue;
        }
        let boxes = guest.of(Space::Solid).map(|p| p.bounds);
        let own: Vec<Cover> = boxes
            .filter_map(|b| Cover::of(&b, &need.space, dir))
            .collect();
        if let Some((percent, _)) = loss(&need.space, dir, &own).filter(|l| l.0 > 0.0) {
            all.push(Alone {
                name: guest.name.clone(),
                subject: part(guest),
                percent,
            });
        }
        covers.extend(own);
        if covers.len() > MOST_COVERS {
            return Side::Many;
        }
    }
    let mut plates: Vec<(Cover, Vec<Opening>)> = Vec::new();
    for plate in placed.plates_near(&need.space, Length::ZERO) {
        if mounted_on(placed, &fan.id, plate) {
            continue;
        }
        let own = plate_covers(facts, plate, &need.space, dir);
        let alone: Vec<Cover> = opened(&own).collect();
        if let Some((percent, _)) = loss(&need.space, dir, &alone).filter(|l| l.0 > 0.0) {
            all.push(Alone {
                name: plate.name.clone(),
                subject: Subject::Plate(plate.id.clone()),
                percent,
            });
        }
        plates.extend(own);
    }
    if covers.len() + plates.len() > MOST_COVERS {
        return Side::Many;
    }
    covers.extend(opened(&plates));
    let percent = loss(&need.space, dir, &covers).map_or(0.0, |l| l.0);
    Side::Takes(percent, all)
}

fn many(fan: &PlacedPart, need: &Need) -> Finding {
    let text = format!(
        "more than {MOST_COVERS} solids stand before {}: what they take of its air together was \
         not judged",
        fan.name
    );
    let finding = Finding::unjudged("fan-air", vec![part(fan)], text).at(need.space);
    finding.hint("Move parts away from it.")
}

fn found(
    fan: &PlacedPart,
    need: &Need,
    dir: Dir,
    percent: f64,
    most: f64,
    mut all: Vec<Alone>,
) -> Finding {
    // What takes most first; of equals by name, so that no order of parts matters.
    all.sort_by(|a, b| {
        // What differs by no more than rounding is equal.
        let share = |a: &Alone| (a.percent * 1000.0).round();
        let by = share(b).total_cmp(&share(a));
        by.then_with(|| a.name.cmp(&b.name))
            .then_with(|| a.subject.cmp(&b.subject))
    });
    let shown: Vec<String> = all
        .iter()
        .take(3)
        .map(|a| format!("{} {:.0} %", a.said(&all), a.percent))
        .collect();
    let more = match all.len() - shown.len() {
        0 => String::new(),
        n => format!(" and {n} more"),
    };
    let text = format!(
        "{} things before {} take {percent:.0} % of its free area together, {most:.0} % at most: \
         {}{more}",
        all.len(),
        fan.name,
        shown.join(", ")
    );
    let deep = need.space.size().along(dir.axis());
    let free = deep.as_mm() * (1.0 - percent.min(100.0) / 100.0);
    let free = Length::from_mm(free + 1e-6).unwrap_or(Length::ZERO);
    Finding::new("fan-air", Severity::Caution, vec![part(fan)], text)
        .figures(deep, free)
        .at(need.space)
        .hint("Take some of them away from it, or take another place for the fan.")
}

#[cfg(test)]
mod tests {
    use crate::build::{Build, block, fan, l};
    use crate::geom::Dir;
    use crate::model::{Group, PartKind};

    fn blowing() -> PartKind {
        let mut kind = fan(120.0, 105.0, 25.0);
        kind.blows = Some(Dir::PosZ);
        kind
    }

    /// A fan that draws from below, with bars of 12 x 120 (a tenth of its face) right before it.
    fn bars(shares: &[f64]) -> Build {
        let mut scene = Build::open().with("fan", &blowing(), [100.0, 100.0, 100.0]);
        for (i, share) in shares.iter().enumerate() {
            let bar = block("bar", Group::Drive, [120.0 * share, 120.0, 10.0]);
            scene = scene.with(
                &format!("bar-{i}"),
                &bar,
                [100.0 + 30.0 * i as f64, 100.0, 90.0],
            );
        }
        scene
    }

    #[test]
    fn four_times_nine_percent_are_too_much_though_none_is_alone() {
        bars(&[0.09]).expect("fan-air", &[]);
        let found = bars(&[0.09; 4]).only("fan-air");
        assert_eq!(found.key(), "fan-air:fan");
        assert!(found.text.contains("4 things"), "{}", found.text);
        assert!(found.text.contains("take 36 %"), "{}", found.text);
        // A quarter of the edge is 30; 36 % less of it are 19.2.
        assert_eq!(
            (found.needed, found.available),
            (Some(l(30.0)), Some(l(19.2)))
        );
        // Exactly what is allowed is allowed.
        bars(&[0.05, 0.05]).expect("fan-air", &[]);
        bars(&[0.05, 0.051]).expect("fan-air", &["fan-air:fan"]);
        // Of one name, they are told apart by their ids.
        assert!(found.text.contains("bar (bar-0) 9 %"), "{}", found.text);
    }

    #[test]
    fn what_takes_too_much_alone_is_named_alone() {
        bars(&[0.2, 0.05]).expect("fan-air", &["fan-air:bar-0+fan"]);
    }

    #[test]
    fn what_stands_behind_another_takes_nothing_more() {
        // The second bar lies in the first one's shade.
        let bar = block("bar", Group::Drive, [0.09 * 120.0, 120.0, 5.0]);
        let scene = bars(&[0.09]).with("behind", &bar, [100.0, 100.0, 80.0]);
        scene.expect("fan-air", &[]);
    }

    #[test]
    fn two_before_and_two_behind_are_not_added() {
        let bar = block("bar", Group::Drive, [0.06 * 120.0, 120.0, 10.0]);
        let scene = bars(&[0.06]).with("above", &bar, [100.0, 100.0, 125.0]);
        scene.expect("fan-air", &[]);
    }

    #[test]
    fn a_thing_that_leaves_is_noticed() {
        let mut scene = bars(&[0.06, 0.06]);
        let mut checker = scene.checked();
        let count =
            |c: &crate::rules::Checker| c.findings().iter().filter(|f| f.rule == "fan-air").count();
        assert_eq!(count(&checker), 1);
        let id = crate::build::pid("bar-1");
        let (_, place) = scene.scene.placed(&id).expect("it is placed");
        let was = *place;
        let mut away = was;
        away.at.z += l(-300.0);
        for (place, found) in [(away, 0), (was, 1), (away, 0)] {
            let touched = scene.edit(crate::edit::Edit::SetPlace(id.clone(), Some(place)));
            checker.update(&scene.scene, &touched);
            assert_eq!(count(&checker), found);
        }
    }

    #[test]
    fn what_was_not_judged_on_one_side_hides_nothing_of_the_other() {
        // Two bars of 6 % before the fan, more crumbs behind it than are looked at together: each
        // takes nothing to speak of.
        let mut scene = bars(&[0.06, 0.06]);
        let mut crumbs = block("crumbs", Group::Drive, [120.0, 120.0, 2.0]);
        let crumb = |i: usize| {
            let at = [(i % 17) as f64 * 7.0, (i / 17) as f64 * 7.0, 0.0];
            let [x, y, z] = at;
            let solid =
                crate::geom::Box3::at(crate::build::v(x, y, z), crate::build::v(0.1, 0.1, 0.1));
            crate::build::solid(crate::geom::Solid::Box(solid))
        };
        crumbs.body = (0..17 * 17).map(crumb).collect();
        let many = Build::open()
            .with("fan", &blowing(), [100.0, 100.0, 100.0])
            .with("crumbs", &crumbs, [100.0, 100.0, 130.0]);
        assert!(many.only("fan-air").unjudged);
        scene = scene.with("crumbs", &crumbs, [100.0, 100.0, 130.0]);
        let found = scene.only("fan-air");
        assert!(!found.unjudged, "{}", found.text);
    }
}
