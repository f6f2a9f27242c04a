//! How a search is run.

use super::answer::News;
use super::spot::MOST_SPOTS;
use std::sync::atomic::AtomicBool;
use std::time::Duration;

/// As many as a search tries for one place in its list where nothing else is said.
const MOST_TRIED: usize = 40;

/// How a search is run.
#[derive(Clone, Copy)]
pub struct Run<'a> {
    /// Searching threads. Without a time limit the answer depends on the scene, the wish
    /// and this number only.
    pub threads: usize,
    /// Ends the search with what there is by then.
    pub time_limit: Option<Duration>,
    /// So many sound arrangements are tried for one place in the list before the best of them is
    /// taken for as good as it was shown to be.
    pub most_tried: usize,
    /// With the list at hand, what is left of the time goes into the proof of its first. Without
    /// it the search ends once many sound arrangements were tried.
    pub keep_on: bool,
    /// Set it from anywhere to end the search soon, with what there is by then.
    pub cancel: Option<&'a AtomicBool>,
    /// Hears what is found on the way; called from searching threads.
    pub told: Option<&'a (dyn Fn(News) + Sync)>,
    /// Most places looked at for one part; the one where it stands comes on top. What is left
    /// out for that is counted, and no more is claimed than what was looked at gives. Of many
    /// parts fewer are looked at in any case, for the sake of memory.
    pub most_places: usize,
}

impl Default for Run<'_> {
    /// One thread, no limit, nobody to tell, some thousand places a part.
    fn default() -> Self {
        Run {
            threads: 1,
            time_limit: None,
            most_tried: MOST_TRIED,
            keep_on: false,
            cancel: None,
            told: None,
            most_places: MOST_SPOTS,
        }
    }
}
