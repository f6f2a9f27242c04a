//! Solids that meet, and solids in the space that another part keeps clear.

use super::common::{move_clear, mover, names, part, toward};
use super::{Anchor, Facts, Finding, FindingMark, Rule, Scope, Severity};
use crate::geom::{Box3, Length};
use crate::model::Space;
use crate::placement::{Gap, PlacedPart, between};

/// Most marks of one finding.
const MOST_MARKS: usize = 16;

/// See [`Rule::about`].
pub(super) struct Clash;

impl Rule for Clash {
    fn id(&self) -> &'static str {
        "clash"
    }

    fn title(&self) -> &'static str {
        "Clash"
    }

    fn about(&self) -> &'static str {
        "Two solids cannot be in one place: where the insides of two parts meet, the build stops. \
         Touching is no clash. A part that is seated in another (a card in its slot, memory in its \
         socket) may overlap it inside the rectangle of the seat's zone, up to 15 mm before and \
         behind its face, and nowhere else. A solid in the space that another part keeps clear (air \
         before a grille) is a caution; parts that hold each other are excused from that. Reach \
         spaces are not judged here. Figures: the bodies of the kinds, nothing else."
    }

    fn scopes(&self) -> &'static [Scope] {
        &[Scope::Pair]
    }

    fn judge(&self, facts: &Facts, anchor: Anchor, out: &mut Vec<Finding>) {
        let Anchor::Pair(a, b) = anchor else {
            return;
        };
        if !a.span.overlaps(&b.span) {
            return;
        }
        let seats = facts.placed.seat_spaces(&a.id, &b.id);
        let mut solid = Meeting::default();
        solid.look(a, Space::Solid, b, Space::Solid, &seats);
        if let Some(depth) = solid.depth {
            out.push(overlap(facts, a, b, depth, solid));
            return;
        }
        if let Some(why) = solid.unjudged {
            let (x, y) = names(a, b);
            let text = format!("whether {x} and {y} clash was not judged: {why}");
            out.push(
                Finding::unjudged(self.id(), vec![part(a), part(b)], text)
                    .at(a.outline.intersection(&b.outline).unwrap_or(a.outline))
                    .hint("Look at the two parts in all views."),
            );
            return;
        }
        if facts.placed.holds_each_other(&a.id, &b.id) {
            return;
        }
        for (owner, guest) in [(a, b), (b, a)] {
            let mut kept = Meeting::default();
            kept.look(guest, Space::Solid, owner, Space::KeepOut, &[]);
            if let Some(depth) = kept.depth {
                out.push(in_kept_space(owner, guest, depth, kept));
                return;
            }
        }
    }
}

/// Where pieces of two parts meet.
#[derive(Default)]
struct Meeting {
    depth: Option<Length>,
    regions: Vec<Box3>,
    /// Name of the piece of the second part where it is deepest.
    piece: String,
    unjudged: Option<String>,
}

impl Meeting {
    fn look(&mut self, a: &PlacedPart, x: Space, b: &PlacedPart, y: Space, seats: &[Box3]) {
        for p in a.of(x).filter(|p| p.bounds.overlaps(&b.span)) {
            for q in b.of(y).filter(|q| q.bounds.overlaps(&p.bounds)) {
                match between(&p.solid, &q.solid, Length::ZERO) {
                    Gap::Overlap { depth, region } => {
                        if seats.iter().any(|s| s.contains(&region)) {
                            continue;
                        }
                        self.regions.push(region);
                        if self.depth.is_none_or(|d| d < depth) {
                            self.depth = Some(depth);
                            self.piece.clone_from(&q.name);
                        }
                    }
                    Gap::Unjudged(why) => self.unjudged = Some(why),
                    Gap::Apart { .. } | Gap::Beyond => {}
                }
            }
        }
    }

    fn mark(self, finding: Finding) -> Finding {
        let place = Box3::around(&self.regions).unwrap_or_default();
        let regions = self.regions.into_iter().take(MOST_MARKS);
        let marked = regions.fold(finding, |f, r| f.mark(FindingMark::Overlap(r)));
        marked.at(place)
    }
}

fn overlap(facts: &Facts, a: &PlacedPart, b: &PlacedPart, depth: Length, met: Meeting) -> Finding {
    let (x, y) = names(a, b);
    let text = format!("{x} and {y} overlap by {} mm", depth.text1());
    let (moving, fixed) = mover(facts.placed, a, b);
    let boxes: Vec<Box3> = fixed.of(Space::Solid).map(|p| p.bounds).collect();
    let way = move_clear(moving, &boxes, &facts.placed.enclosure().outline());
    let mut finding = Finding::new("clash", Severity::Stop, vec![part(a), part(b)], text)
        .figures(Length::ZERO, -depth);
    match way {
        Some((by, dir, edit)) => {
            finding = finding.hint(format!(
                "Move {} {} mm {}.",
                if moving.id == a.id { &x } else { &y },
                by.text1(),
                toward(dir)
            ));
            finding.fix = Some(vec![edit]);
        }
        None => finding = finding.hint("Give one of them another place, or turn it."),
    }
    met.mark(finding)
}

fn in_kept_space(owner: &PlacedPart, guest: &PlacedPart, depth: Length, met: Meeting) -> Finding {
    let (o, g) = names(owner, guest);
    let what = match met.piece.as_str() {
        "" => String::new(),
        name => format!(" ({name})"),
    };
    let text = format!(
        "{g} stands {} mm deep in the space kept clear by {o}{what}",
        depth.text1()
    );
    let subjects = vec![part(owner), part(guest)];
    let finding = Finding::new("clash", Severity::Caution, subjects, text)
        .figures(Length::ZERO, -depth)
        .hint(format!("Move {g} out of that space."));
    met.mark(finding)
}
