//! Which zones and turns a part may take in a search.

use super::super::App;
use crate::geom::Turn;
use crate::model::{PartId, ZoneRef};
use crate::search::scene::{choices, turn_words};
use eframe::egui::containers::menu::{MenuButton, MenuConfig};
use eframe::egui::{self, PopupCloseBehavior, ScrollArea, Ui};
use std::collections::{BTreeMap, BTreeSet};

/// Height of the list of zones and turns, in points.
const HIGH: f32 = 260.0;

impl App {
    /// The button beside a part that may move; it opens the choice.
    pub(super) fn limits_ui(&mut self, ui: &mut Ui, id: &PartId) {
        let zones = self.search.zones.get(id).map(BTreeSet::len);
        let turns = self.search.turns.get(id).map(BTreeSet::len);
        let text = match (zones, turns) {
            (None, None) => "anywhere".to_owned(),
            (Some(z), None) => counted(z, "zone"),
            (None, Some(t)) => counted(t, "turn"),
            (Some(z), Some(t)) => format!("{}, {}", counted(z, "zone"), counted(t, "turn")),
        };
        let text = egui::RichText::new(text).small();
        // The list stays open while its ticks are set.
        let config = MenuConfig::new().close_behavior(PopupCloseBehavior::CloseOnClickOutside);
        let button = MenuButton::new(text).config(config);
        let (response, _) = button.ui(ui, |ui| {
            ui.set_min_width(260.0);
            ScrollArea::vertical().max_height(HIGH).show(ui, |ui| {
                self.limit_lists(ui, id);
            });
        });
        let tip = "Which zones and turns it may take; without a choice all whose holes fit.";
        response.on_hover_text(tip);
    }

    fn limit_lists(&mut self, ui: &mut Ui, id: &PartId) {
        let placed = self.editor.checker().placed();
        let all = choices(self.editor.scene(), placed, id);
        let now = self.editor.scene().placed(id).map(|(_, p)| p.turn);
        let zones: Vec<(ZoneRef, String)> = all
            .zones
            .into_iter()
            .map(|z| (z.clone(), placed.zone_words(&z)))
            .collect();
        let turns: Vec<(Turn, String)> = all
            .turns
            .into_iter()
            .map(|t| match Some(t) == now {
                true => (t, format!("{} (as now)", turn_words(t))),
                false => (t, turn_words(t)),
            })
            .collect();
        if zones.is_empty() {
            ui.label("No zone has holes that fit it.");
            return;
        }
        ui.strong("Zones that it may take");
        picks(ui, &mut self.search.zones, id, &zones);
        ui.separator();
        ui.strong("Turns that it may take");
        picks(ui, &mut self.search.turns, id, &turns);
    }
}

fn counted(n: usize, what: &str) -> String {
    match n {
        1 => format!("1 {what}"),
        n => format!("{n} {what}s"),
    }
}

/// A tick for each; with all ticked nothing is narrowed down, and one stays ticked.
fn picks<T: Clone + Ord>(
    ui: &mut Ui,
    chosen: &mut BTreeMap<PartId, BTreeSet<T>>,
    id: &PartId,
    all: &[(T, String)],
) {
    let every: BTreeSet<T> = all.iter().map(|(t, _)| t.clone()).collect();
    // What is not there any more counts no more.
    let mut set = chosen.get(id).cloned().unwrap_or_else(|| every.clone());
    set.retain(|item| every.contains(item));
    if set.is_empty() {
        chosen.remove(id);
        set.clone_from(&every);
    }
    for (item, words) in all {
        let mut on = set.contains(item);
        let only = on && set.len() == 1;
        let tick = ui.add_enabled(!only, egui::Checkbox::new(&mut on, words));
        let tick = tick.on_disabled_hover_text("It has to go somewhere: tick another one first.");
        if tick.changed() {
            match on {
                true => _ = set.insert(item.clone()),
                false => _ = set.remove(item),
            }
            match set.is_superset(&every) {
                true => _ = chosen.remove(id),
                false => _ = chosen.insert(id.clone(), set.clone()),
            }
        }
    }
    if chosen.contains_key(id) && ui.small_button("All of them").clicked() {
        chosen.remove(id);
    }
}
