//! What a lead runs together with, and where its leftover goes, for the details.

use super::App;
use super::details::row;
use crate::model::CableId;
use crate::route::leftover::{Leftover, What, tuck};
use crate::route::together::{Bundle, bundles};
use eframe::egui::{Grid, Ui};

/// A leftover in words, its cable, and the number of the room that it goes into.
struct Left {
    cable: CableId,
    words: String,
    room: Option<usize>,
}

/// Worked out once for a scene as it stands.
#[derive(Default)]
pub(super) struct Leads {
    of: Option<u64>,
    bundles: Vec<Bundle>,
    left: Vec<Left>,
}

impl App {
    fn look_at_leads(&mut self) {
        let revision = self.editor.revision();
        if self.leads.of == Some(revision) {
            return;
        }
        let (scene, checker) = (self.editor.scene(), self.editor.checker());
        let cables = &scene.arrangement().cables;
        let all: Vec<&Leftover> = checker.index().leftovers().collect();
        let rooms = tuck(&all, checker.runs(), &scene.enclosure.tucks);
        self.leads = Leads {
            of: Some(revision),
            bundles: bundles(cables, checker.runs()),
            left: all
                .iter()
                .zip(rooms)
                .map(|(l, room)| left(l, room))
                .collect(),
        };
    }

    /// The bundles and leftovers of a cable; nothing where it has none.
    pub(super) fn leads_ui(&mut self, ui: &mut Ui, id: &CableId) {
        self.look_at_leads();
        let mut rows: Vec<(&str, String)> = Vec::new();
        for bundle in self.leads.bundles.iter().filter(|b| b.cables.contains(id)) {
            rows.push((
                "Bundle",
                format!(
                    "{} cables, Ø {} mm, for {:.0} mm",
                    bundle.cables.len(),
                    bundle.diameter.text1(),
                    bundle.length()
                ),
            ));
        }
        let tucks = &self.editor.scene().enclosure.tucks;
        for left in self.leads.left.iter().filter(|l| l.cable == *id) {
            let place = match left.room.and_then(|i| tucks.get(i)) {
                Some(tuck) => format!("into {}", tuck.name),
                None if tucks.is_empty() => "no tuck zones here".to_owned(),
                None => "no room for it".to_owned(),
            };
            rows.push(("Left over", format!("{}: {place}", left.words)));
        }
        if rows.is_empty() {
            return;
        }
        ui.add_space(8.0);
        Grid::new("lead-facts")
            .num_columns(2)
            .spacing([8.0, 4.0])
            .show(ui, |ui| {
                for (name, text) in rows {
                    row(ui, name, text);
                }
            });
    }
}

fn left(of: &Leftover, room: Option<usize>) -> Left {
    let what = match &of.what {
        What::Spare(_) => format!("{} mm", of.length.text1()),
        What::Plugs(1) => "1 plug of the run".to_owned(),
        What::Plugs(n) => format!("{n} plugs of the run"),
        What::Tail(_) => "piece of a split plug".to_owned(),
    };
    Left {
        cable: of.cable.clone(),
        words: format!("{what}, {:.0} cm³", of.volume() / 1000.0),
        room,
    }
}
