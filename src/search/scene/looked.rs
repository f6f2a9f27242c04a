//! What may be claimed where not all places were looked at.

use super::answer::End;
use super::tables::Tables;
use crate::model::Scene;

/// What an end comes to where not all places were looked at: what speaks of all is not known.
pub(super) fn as_far_as_looked(end: End, left_out: usize) -> End {
    match end {
        end if left_out == 0 => end,
        End::Proved => End::BestLooked,
        End::Within(_) => End::SoFar,
        End::Impossible(clash) => End::NoneLooked(clash, left_out),
        end => end,
    }
}

/// Which parts could stand in more places than were looked at.
pub(super) fn notes(tables: &Tables, scene: &Scene) -> Vec<String> {
    let name = |id| {
        scene
            .parts
            .get(id)
            .map_or("", |p| p.name.as_str())
            .to_owned()
    };
    let cut: Vec<_> = tables.movers.iter().filter(|m| m.left_out > 0).collect();
    match cut.as_slice() {
        [] => Vec::new(),
        [m] => vec![format!(
            "{} could stand in more places than were looked at",
            name(&m.id)
        )],
        many => vec![format!(
            "{} parts could stand in more places than were looked at: let fewer move",
            many.len()
        )],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_share_is_promised_where_not_all_places_were_looked_at() {
        assert_eq!(as_far_as_looked(End::Within(0.1), 3), End::SoFar);
        assert_eq!(as_far_as_looked(End::Within(0.1), 0), End::Within(0.1));
        assert_eq!(as_far_as_looked(End::Proved, 3), End::BestLooked);
        assert_eq!(as_far_as_looked(End::Proved, 0), End::Proved);
        assert_eq!(as_far_as_looked(End::NothingMoves, 3), End::NothingMoves);
    }
}
