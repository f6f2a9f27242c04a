//! Questions in the middle of the window. One at a time; Escape takes it away
//! and changes nothing.

mod export;
mod paper;
mod path;
mod pick;
mod shop;

pub use export::ExportChoice;
pub use paper::{PaperChoice, What};
pub use shop::ShopFields;

use super::files::Purpose;
use super::{Action, App, Draft};
use crate::model::{EnclosureId, Scene};
use eframe::egui::{self, Key, Modal, Ui};
use std::path::PathBuf;

/// What goes on after unsaved changes were asked about.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum After {
    /// The window closes.
    Quit,
    /// The open question follows.
    AskOpen,
    /// A file is opened.
    Open(PathBuf),
    /// An example is opened.
    Example(usize),
    /// An enclosure is chosen for a new scene.
    New,
}

/// A question in the middle of the window.
pub enum Dialog {
    /// Unsaved changes: save, drop, or stay.
    Unsaved(After),
    /// Another name for the arrangement with this index.
    Rename(usize, String),
    /// Which enclosure a new scene is over.
    New(Option<EnclosureId>),
    /// A path is typed, because the native dialog gave none.
    Path(Purpose, String),
    /// What picture is written.
    Export(ExportChoice),
    /// What paper is written.
    Paper(PaperChoice),
    /// The shop's name, logo and colour.
    Shop(ShopFields),
    /// Why a finding is accepted.
    Reason {
        /// Its key.
        key: String,
        /// Its sentence.
        text: String,
        /// What the user typed.
        reason: String,
    },
    /// Something went wrong.
    Trouble(String),
    /// Unsaved work of a window that is gone; `None` once it is taken up or dropped.
    Draft(Option<Draft>),
    /// What a command did and could not do: heading and text.
    Told(String, String),
    /// Keys and gestures.
    Help,
}

impl App {
    /// Goes on with `after`, asking about unsaved changes first.
    pub(super) fn guard(&mut self, after: After) {
        self.editor.cancel_gesture();
        if self.editor.history().is_clean() {
            self.go_on(after);
        } else {
            self.dialog = Some(Dialog::Unsaved(after));
        }
    }

    pub(super) fn go_on(&mut self, after: After) {
        match after {
            After::Quit => {
                self.leave = true;
            }
            After::AskOpen => self.ask_path(Purpose::Open),
            After::Open(path) => self.read(path),
            After::Example(index) => self.open_example(index),
            After::New => self.dialog = Some(Dialog::New(None)),
        }
    }

    /// Asks which enclosure a new scene is over.
    pub fn ask_new(&mut self) {
        self.guard(After::New);
    }

    /// Asks for a scene to open.
    pub fn ask_open(&mut self) {
        self.guard(After::AskOpen);
    }

    /// Asks where to save.
    pub fn ask_save_as(&mut self) {
        self.editor.cancel_gesture();
        self.ask_path(Purpose::Save);
    }

    /// Shows the list of keys.
    pub fn ask_help(&mut self) {
        self.dialog = Some(Dialog::Help);
    }

    /// Asks why a finding is accepted.
    pub(super) fn ask_reason(&mut self, key: &str, text: &str) {
        self.dialog = Some(Dialog::Reason {
            key: key.to_owned(),
            text: text.to_owned(),
            reason: String::new(),
        });
    }

    /// Draws the open question.
    pub(super) fn dialog_ui(&mut self, ctx: &egui::Context) {
        let Some(mut dialog) = self.dialog.take() else {
            return;
        };
        let mut stay = true;
        let frame = egui::Frame::popup(&ctx.global_style()).inner_margin(14);
        let modal = Modal::new(egui::Id::unique("question"))
            .frame(frame)
            .show(ctx, |ui| {
                ui.set_width(match dialog {
                    Dialog::Help => 680.0,
                    Dialog::Export(_) => 520.0,
                    _ => 440.0,
                });
                stay = match &mut dialog {
                    Dialog::Unsaved(after) => self.unsaved(ui, after),
                    Dialog::Rename(index, name) => self.rename_arrangement(ui, *index, name),
                    Dialog::New(choice) => self.new_scene(ui, choice),
                    Dialog::Path(purpose, text) => self.path_field(ui, *purpose, text),
                    Dialog::Export(choice) => self.export_choice(ui, choice),
                    Dialog::Paper(choice) => self.paper_choice(ui, choice),
                    Dialog::Shop(fields) => self.shop_fields(ui, fields),
                    Dialog::Reason { key, text, reason } => self.reason(ui, key, text, reason),
                    Dialog::Trouble(text) => trouble(ui, text),
                    Dialog::Draft(draft) => self.draft(ui, draft),
                    Dialog::Told(heading, text) => told(ui, heading, text),
                    Dialog::Help => help(ui),
                };
            });
        // A click beside the question is no answer: only Escape and the buttons are.
        let escape = modal.is_top_modal
            && !modal.any_popup_open
            && ctx.input_mut(|i| i.consume_key(egui::Modifiers::NONE, Key::Escape));
        if stay && !escape && self.dialog.is_none() {
            self.dialog = Some(dialog);
        }
    }

    fn unsaved(&mut self, ui: &mut Ui, after: &After) -> bool {
        ui.heading("Unsaved changes");
        ui.label(format!(
            "'{}' has changes that are not saved.",
            self.editor.scene().title
        ));
        ui.add_space(12.0);
        let mut stay = true;
        ui.horizontal(|ui| {
            if ui
                .button("Save")
                .on_hover_text("Saves, then goes on.")
                .clicked()
            {
                self.after_save = Some(after.clone());
                self.save();
                stay = false;
            }
            let drop = ui.button("Drop the changes");
            if drop
                .on_hover_text("Goes on; the changes are lost.")
                .clicked()
            {
                self.go_on(after.clone());
                stay = false;
            }
            if ui
                .button("Stay")
                .on_hover_text("Goes back to the sheet.")
                .clicked()
            {
                stay = false;
            }
        });
        stay
    }

    fn new_scene(&mut self, ui: &mut Ui, choice: &mut Option<EnclosureId>) -> bool {
        ui.heading("New scene");
        ui.label("Choose the enclosure to build in. Click twice to start at once.");
        ui.add_space(8.0);
        let mut at_once = false;
        let enclosures: Vec<_> = self
            .editor
            .catalogue()
            .enclosures
            .values()
            .cloned()
            .collect();
        for e in &enclosures {
            let litres = e.outline().volume_mm3() / 1e6;
            let text = format!(
                "{} ({} x {} x {} mm, {litres:.1} l)",
                e.name, e.size.x, e.size.y, e.size.z
            );
            let on = choice.as_ref() == Some(&e.id);
            let r = ui.add(egui::Button::selectable(on, text));
            if r.clicked() || r.double_clicked() {
                *choice = Some(e.id.clone());
            }
            at_once |= r.double_clicked();
        }
        at_once |= ui.input(|i| i.key_pressed(Key::Enter)) && choice.is_some();
        ui.add_space(12.0);
        let mut stay = true;
        ui.horizontal(|ui| {
            let chosen = enclosures.iter().find(|e| choice.as_ref() == Some(&e.id));
            let start = ui.add_enabled(chosen.is_some(), egui::Button::new("Start"));
            let start = start.on_disabled_hover_text("Choose an enclosure first.");
            let start = start.on_hover_text("Opens an empty sheet over it.");
            if (start.clicked() || at_once)
                && let Some(e) = chosen
            {
                let title = format!("Build in {}", e.name);
                self.show_scene(Scene::new(&title, e.clone()), None);
                stay = false;
            }
            if ui
                .button("Cancel")
                .on_hover_text("Keeps the scene at hand.")
                .clicked()
            {
                stay = false;
            }
        });
        stay
    }

    fn rename_arrangement(&mut self, ui: &mut Ui, index: usize, name: &mut String) -> bool {
        ui.heading("Rename the arrangement");
        let label = ui.label("Name");
        let field = ui
            .add(egui::TextEdit::singleline(name).desired_width(f32::INFINITY))
            .labelled_by(label.id);
        let first = ui.make_persistent_id("name-focus");
        if !ui.data(|d| d.get_temp::<bool>(first).unwrap_or(false)) {
            ui.data_mut(|d| d.insert_temp(first, true));
            field.request_focus();
        }
        let sound = !name.trim().is_empty();
        let enter = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        ui.add_space(12.0);
        let mut stay = true;
        ui.horizontal(|ui| {
            let rename = ui.add_enabled(sound, egui::Button::new("Rename"));
            let rename = rename.on_disabled_hover_text("Write a name first.");
            let rename = rename.on_hover_text("One step; undo gives the old name back.");
            if rename.clicked() || (enter && sound) {
                self.editor.rename_arrangement(index, name);
                stay = false;
            }
            let cancel = ui.button("Cancel").on_hover_text("Keeps the name.");
            stay &= !cancel.clicked();
        });
        if !stay {
            ui.data_mut(|d| d.remove_temp::<bool>(first));
        }
        stay
    }

    fn reason(&mut self, ui: &mut Ui, key: &str, text: &str, reason: &mut String) -> bool {
        ui.heading("Accept a finding");
        ui.label(text);
        ui.add_space(8.0);
        let label = ui.label("Reason, saved with the scene:");
        let field = ui
            .add(
                egui::TextEdit::singleline(reason)
                    .hint_text("for instance: measured 1.2 mm on the real part")
                    .desired_width(f32::INFINITY),
            )
            .labelled_by(label.id);
        if reason.is_empty() && !field.has_focus() && !field.lost_focus() {
            field.request_focus();
        }
        let sound = !reason.trim().is_empty();
        let enter = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        ui.add_space(12.0);
        let mut stay = true;
        ui.horizontal(|ui| {
            let accept = ui.add_enabled(sound, egui::Button::new("Accept"));
            let accept = accept.on_disabled_hover_text("Write a reason first.");
            if accept
                .on_hover_text("Keeps it off the list of open findings.")
                .clicked()
                || (enter && sound)
            {
                self.editor.accept(key, Some(reason.trim()));
                stay = false;
            }
            if ui
                .button("Cancel")
                .on_hover_text("Leaves the finding open.")
                .clicked()
            {
                stay = false;
            }
        });
        stay
    }
}

fn trouble(ui: &mut Ui, text: &str) -> bool {
    ui.heading("That did not work");
    ui.label(text);
    ui.add_space(12.0);
    !ui.button("Close")
        .on_hover_text("Goes back to the sheet; nothing was changed.")
        .clicked()
}

fn told(ui: &mut Ui, heading: &str, text: &str) -> bool {
    ui.heading(heading);
    egui::ScrollArea::vertical()
        .max_height(420.0)
        .show(ui, |ui| ui.label(text));
    ui.add_space(12.0);
    !ui.button("Close")
        .on_hover_text("Goes back to the sheet.")
        .clicked()
}

fn help(ui: &mut Ui) -> bool {
    ui.heading("Keys and gestures");
    let ctx = ui.ctx().clone();
    egui::ScrollArea::vertical()
        .max_height(420.0)
        .auto_shrink([false, true])
        .show(ui, |ui| {
            egui::Grid::new("help")
                .num_columns(2)
                .spacing([16.0, 4.0])
                .show(ui, |ui| {
                    for (what, does) in [
                        (
                            "Drag from the shelf",
                            "holds a part; zones that take it show themselves",
                        ),
                        (
                            "Drag a part",
                            "moves it; it snaps where its holes land on those of a zone",
                        ),
                        (
                            "Alt while dragging",
                            "places freely on the grid, without snapping",
                        ),
                        (
                            "X, Y, Z while holding",
                            "turns the held part a quarter about that axis",
                        ),
                        ("Escape", "gives up the gesture; the scene is as before"),
                        ("Click, Shift+click", "selects, adds to the selection"),
                        ("Drag on bare sheet", "frames parts to select them"),
                        ("Scroll", "zooms at the pointer; Shift or two fingers pan"),
                        ("Middle button, or Space and drag", "pans"),
                        (
                            "Arrows, Page Up and Down",
                            "move by 1 mm; Shift 10 mm; Ctrl 0.1 mm",
                        ),
                    ] {
                        ui.strong(what);
                        ui.label(does);
                        ui.end_row();
                    }
                    for a in Action::ALL {
                        if let Some(key) = a.key() {
                            ui.strong(ctx.format_shortcut(&key));
                            ui.label(a.text().trim_end_matches('…'));
                            ui.end_row();
                        }
                    }
                });
        });
    ui.add_space(8.0);
    !ui.button("Close")
        .on_hover_text("Back to the sheet.")
        .clicked()
}
