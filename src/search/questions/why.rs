//! What keeps out what does not go in: the smallest kind, the next larger one.

use super::Asker;
use crate::model::{PartId, PartKind, Scene};
use crate::search::scene::{Answer, Demand, End, Wish};
use std::sync::Arc;

/// What a place lacks that no hole of the part lies on.
pub(super) const NO_HOLES: &str = "its holes match no zone";

/// What speaks against a part, without the words around it; `None` where nothing is known.
pub(super) fn reason(answer: &Answer, id: &PartId) -> Option<String> {
    match &answer.end {
        End::Impossible(clash) => {
            let others = clash.demands.iter().zip(&clash.words);
            let others: Vec<String> = others
                .filter(|(d, _)| **d != Demand::GoesIn(id.clone()))
                .map(|(_, words)| format!("'{words}'"))
                .collect();
            match (&clash.why, others.as_slice()) {
                (Some(why), _) => Some(why.clone()),
                (None, []) => None,
                (None, others) => Some(format!("not together with {}", others.join(", "))),
            }
        }
        End::Stays(what) => Some(what.clone()),
        _ => None,
    }
}

impl Asker<'_> {
    /// What keeps these kinds of a part out; `None` where they go in or it is not known.
    pub(super) fn kept_out(
        &self,
        scene: &Scene,
        wish: &Wish,
        id: &PartId,
        kinds: &[Arc<PartKind>],
    ) -> Option<String> {
        let mut scene = scene.clone();
        if let (Some(part), [only]) = (scene.parts.get_mut(id), kinds) {
            // Its own name would say another size than the one that is tried.
            part.name.clone_from(&only.name);
        }
        let mut wish = wish.clone();
        wish.kinds.insert(id.clone(), kinds.to_vec());
        wish.kind_points.remove(id);
        let (answer, _) = self.seek_apart(&scene, &wish);
        match answer.found.is_empty() {
            true => reason(&answer, id),
            false => None,
        }
    }
}

/// 'A; B; C; and 4 more'.
pub(super) fn listed(names: &[String], most: usize) -> String {
    match names.len() {
        n if n <= most => names.join("; "),
        n => format!("{}; and {} more", names[..most].join("; "), n - most),
    }
}

/// As `listed`; what comes several times is named once, with how often.
pub(super) fn counted(names: &[String], most: usize) -> String {
    let mut alike: Vec<(usize, &String)> = Vec::new();
    for name in names {
        match alike.iter_mut().find(|(_, n)| *n == name) {
            Some((n, _)) => *n += 1,
            None => alike.push((1, name)),
        }
    }
    let each = alike.into_iter().map(|(n, name)| match n {
        1 => name.clone(),
        n => format!("{n} of '{name}'"),
    });
    listed(&each.collect::<Vec<_>>(), most)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_lists_say_how_many_more_there_are() {
        let names = ["a", "b", "c"].map(str::to_owned);
        assert_eq!(listed(&names, 3), "a; b; c");
        assert_eq!(listed(&names, 2), "a; b; and 1 more");
        let names = ["a", "b", "a"].map(str::to_owned);
        assert_eq!(counted(&names, 2), "2 of 'a'; b");
    }
}
