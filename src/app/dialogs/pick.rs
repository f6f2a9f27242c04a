//! Choosing one of a few: arrangements, views, corners.

use crate::model::Scene;
use eframe::egui::{ComboBox, Ui};

/// A labelled list to choose one of; gives true where the choice changed.
pub(super) fn pick<T: PartialEq + Clone>(
    ui: &mut Ui,
    (label, hover): (&str, &str),
    width: f32,
    choice: &mut T,
    all: &[(T, String)],
) -> bool {
    let old = choice.clone();
    let chosen = all.iter().find(|(value, _)| value == choice);
    let shown = chosen.map_or("nothing to choose", |(_, words)| words);
    let label = ui.label(label);
    ComboBox::from_id_salt(label.id)
        .width(width)
        .selected_text(shown)
        .truncate()
        .show_ui(ui, |ui| {
            for (value, words) in all {
                ui.selectable_value(choice, value.clone(), words);
            }
        })
        .response
        .labelled_by(label.id)
        .on_hover_text(hover);
    *choice != old
}

/// The arrangements of a scene with their names.
pub(super) fn arrangements(scene: &Scene) -> Vec<(usize, String)> {
    let names = scene.arrangements.iter().map(|a| a.name.clone());
    names.enumerate().collect()
}
