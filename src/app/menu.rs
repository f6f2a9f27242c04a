//! The menu bar and the row of switches.

use super::{Action, App, dialogs};
use eframe::egui::{self, MenuBar, Ui};

const SCENE: &[Action] = &[Action::Save, Action::SaveAs, Action::Export, Action::Paper];
const CHANGE: &[&[Action]] = &[
    &[Action::Undo, Action::Redo],
    &[Action::SelectAll, Action::Duplicate, Action::Delete],
    &[Action::TurnX, Action::TurnY, Action::TurnZ],
    &[Action::Lock, Action::Hide, Action::ShowAll],
    &[Action::Plug, Action::PlugAnew],
    &[
        Action::FindWay,
        Action::NextWay,
        Action::StraightWay,
        Action::FindAllWays,
    ],
];
const SHEET: &[&[Action]] = &[
    &[Action::Fit, Action::ZoomIn, Action::ZoomOut],
    &[
        Action::Front,
        Action::Grid,
        Action::Labels,
        Action::HiddenEdges,
    ],
    &[
        Action::Shelf,
        Action::Details,
        Action::Findings,
        Action::NextFinding,
    ],
    &[Action::Theme, Action::Contrast],
];
const ARRANGE: &[&[Action]] = &[
    &[
        Action::Branch,
        Action::RenameArrangement,
        Action::RemoveArrangement,
    ],
    &[Action::NextArrangement, Action::LastArrangement],
    &[Action::Arrangements, Action::Comparison],
];
const HOLD: &[Action] = &[Action::Lead, Action::Measure, Action::Snap, Action::Carry];

impl App {
    /// Draws the menu bar.
    pub(super) fn menu_ui(&mut self, ui: &mut Ui) {
        MenuBar::new().ui(ui, |ui| {
            ui.menu_button("Scene", |ui| {
                self.item(ui, Action::New);
                self.item(ui, Action::Open);
                self.recent_menu(ui);
                self.examples_menu(ui);
                ui.separator();
                for a in SCENE {
                    self.item(ui, *a);
                }
                ui.separator();
                self.item(ui, Action::Quit);
            });
            ui.menu_button("Change", |ui| self.items(ui, CHANGE));
            ui.menu_button("Sheet", |ui| self.items(ui, SHEET));
            ui.menu_button("Hold", |ui| self.items(ui, &[HOLD]));
            ui.menu_button("Arrange", |ui| {
                self.arrangements_menu(ui);
                ui.separator();
                self.items(ui, ARRANGE);
            });
            ui.menu_button("Ask", |ui| self.ask_menu(ui));
            ui.menu_button("Help", |ui| self.item(ui, Action::Help));
            ui.separator();
            for a in HOLD {
                self.switch(ui, *a);
            }
            ui.separator();
            self.switch(ui, Action::Front);
            if ui
                .button(Action::Fit.text())
                .on_hover_text(tip(ui.ctx(), Action::Fit))
                .clicked()
            {
                Action::Fit.run(self);
            }
        });
    }

    fn items(&mut self, ui: &mut Ui, groups: &[&[Action]]) {
        for (i, group) in groups.iter().enumerate() {
            if i > 0 {
                ui.separator();
            }
            for a in *group {
                self.item(ui, *a);
            }
        }
    }

    fn item(&mut self, ui: &mut Ui, action: Action) {
        let words = action.words(self);
        let mark = match action.is_on(self) {
            Some(true) => format!("✓ {words}"),
            Some(false) => format!("   {words}"),
            None => words,
        };
        let mut button = egui::Button::new(mark);
        if let Some(key) = action.key() {
            button = button.shortcut_text(ui.ctx().format_shortcut(&key));
        }
        let response = ui.add_enabled(action.enabled(self), button);
        if response.on_hover_text(action.tip()).clicked() {
            action.run(self);
            ui.close();
        }
    }

    fn switch(&mut self, ui: &mut Ui, action: Action) {
        let on = action.is_on(self).unwrap_or(false);
        let response = ui.add(egui::Button::selectable(on, action.text()));
        if response.on_hover_text(tip(ui.ctx(), action)).clicked() {
            action.run(self);
        }
    }

    /// A small button that folds a panel away.
    pub(super) fn fold_button(&mut self, ui: &mut Ui, action: Action) {
        let response = ui.add(egui::Button::new("Fold").small());
        response.widget_info(|| {
            egui::WidgetInfo::labeled(
                egui::Role::Button,
                true,
                format!("Fold {}", action.text().to_lowercase()),
            )
        });
        if response.on_hover_text(tip(ui.ctx(), action)).clicked() {
            action.run(self);
        }
    }

    fn recent_menu(&mut self, ui: &mut Ui) {
        let paths = self.recent.paths().to_vec();
        ui.menu_button("Recent", |ui| {
            if paths.is_empty() {
                ui.label("No file was opened or saved yet.");
            }
            for path in paths {
                let name = super::files::name(&path);
                let response = ui.button(name).on_hover_text(path.display().to_string());
                if response.clicked() {
                    self.guard(dialogs::After::Open(path));
                    ui.close();
                }
            }
        });
    }

    fn examples_menu(&mut self, ui: &mut Ui) {
        ui.menu_button("Examples", |ui| {
            for (index, example) in crate::file::examples().iter().enumerate() {
                let response = ui.button(example.title).on_hover_text(example.about);
                if response.clicked() {
                    self.guard(dialogs::After::Example(index));
                    ui.close();
                }
            }
        });
    }
}

/// The tooltip with its key.
pub fn tip(ctx: &egui::Context, action: Action) -> String {
    match action.key() {
        Some(key) => format!("{} [{}]", action.tip(), ctx.format_shortcut(&key)),
        None => action.tip().to_owned(),
    }
}
