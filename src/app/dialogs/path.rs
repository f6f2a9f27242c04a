//! Paths: the native dialog first, a field in the window where it gives none.

use super::{App, Dialog};
use crate::app::files::{Job, Purpose};
use eframe::egui::{self, Key, Ui};
use std::path::PathBuf;

/// The path that a text names; `~/` at its start is the person's own folder, as shells have it.
fn at_home(text: &str) -> PathBuf {
    match (text.strip_prefix("~/"), std::env::home_dir()) {
        (Some(rest), Some(home)) => home.join(rest),
        _ => PathBuf::from(text),
    }
}

impl App {
    /// Asks for a path with the native dialog.
    pub(in crate::app) fn ask_path(&mut self, purpose: Purpose) {
        let near = match purpose {
            Purpose::Export => Some(self.picture_path()),
            Purpose::Paper => Some(self.paper_path()),
            Purpose::Table => Some(self.table_path()),
            _ => self.path.clone().or_else(|| Some(self.default_path())),
        };
        match &self.ctx {
            Some(ctx) if self.native_dialogs => self.start(Job::ask(&ctx.clone(), purpose, near)),
            _ => self.ask_typed(purpose),
        }
    }

    /// Asks for a path in the window.
    pub(in crate::app) fn ask_typed(&mut self, purpose: Purpose) {
        let text = match purpose {
            Purpose::Open => self.path.clone().unwrap_or_default(),
            Purpose::Save => self.path.clone().unwrap_or_else(|| self.default_path()),
            Purpose::Export => self.picture_path(),
            Purpose::Paper => self.paper_path(),
            Purpose::Table => self.table_path(),
        };
        self.dialog = Some(Dialog::Path(purpose, text.display().to_string()));
    }

    fn default_path(&self) -> PathBuf {
        let title = self.editor.scene().title.to_lowercase();
        let name: String = title
            .chars()
            .map(|c| if c.is_alphanumeric() { c } else { '-' })
            .collect();
        let name = name.trim_matches('-');
        let name = if name.is_empty() { "scene" } else { name };
        PathBuf::from(format!("{name}.json"))
    }

    /// Where a picture goes unless told otherwise: beside the scene.
    pub(in crate::app) fn picture_path(&self) -> PathBuf {
        let base = self.path.clone().unwrap_or_else(|| self.default_path());
        base.with_extension(self.look.export.format.ending())
    }

    /// Where the table goes unless told otherwise: beside the scene.
    fn table_path(&self) -> PathBuf {
        let base = self.path.clone().unwrap_or_else(|| self.default_path());
        base.with_extension("csv")
    }

    pub(super) fn path_field(&mut self, ui: &mut Ui, purpose: Purpose, text: &mut String) -> bool {
        ui.heading(purpose.title());
        ui.label("No file was chosen in the system's dialog, or there is none here. A path can be typed instead.");
        ui.add_space(8.0);
        let label = ui.label("Path");
        let field = ui
            .add(
                egui::TextEdit::singleline(text)
                    .hint_text("folder/scene.json")
                    .desired_width(f32::INFINITY),
            )
            .labelled_by(label.id);
        let first = ui.make_persistent_id("path-focus");
        if ui.data_mut(|d| !std::mem::replace(d.get_temp_mut_or(first, false), true)) {
            field.request_focus();
        }
        let enter = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        let path = at_home(text.trim());
        let named = !text.trim().is_empty();
        let exists = purpose != Purpose::Open && named && path.exists();
        if exists {
            ui.label("This file exists and will be replaced.");
        }
        ui.add_space(12.0);
        let mut stay = true;
        ui.horizontal(|ui| {
            let verb = if purpose == Purpose::Open {
                "Open"
            } else {
                "Write"
            };
            let go = ui.add_enabled(named, egui::Button::new(verb));
            let go = go.on_disabled_hover_text("Type a path first.");
            if go.on_hover_text("Goes on with this path.").clicked() || (enter && named) {
                self.chosen(purpose, path);
                stay = false;
            }
            if ui
                .button("Cancel")
                .on_hover_text("Goes back to the sheet.")
                .clicked()
            {
                self.after_save = None;
                stay = false;
            }
        });
        if !stay {
            ui.data_mut(|d| d.remove_temp::<bool>(first));
        }
        stay
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_from_home_is_under_the_home_folder() {
        let home = std::env::home_dir();
        let path = at_home("~/builds/a.json");
        assert_eq!(
            path,
            home.map_or("~/builds/a.json".into(), |h| h.join("builds/a.json"))
        );
        assert_eq!(at_home("~other/a.json"), PathBuf::from("~other/a.json"));
        assert_eq!(at_home("a/~/b.json"), PathBuf::from("a/~/b.json"));
    }
}
