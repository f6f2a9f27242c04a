//! The window. Panels show the editor's state and call its commands; nothing
//! here judges, routes or draws by itself.

mod actions;
mod alternatives;
mod camera;
mod canvas;
mod chain;
mod details;
mod dialogs;
mod drafts;
mod files;
mod findings;
mod grips;
mod key;
mod launch;
mod leads;
mod menu;
mod overlay;
mod painter;
mod pane;
mod plugging;
mod pointer;
mod search;
mod sheet;
mod shelf;
mod theme;
mod variants;
mod ways;
mod work;

pub use actions::Action;
pub use camera::Camera;
pub use dialogs::{After, Dialog, ExportChoice, PaperChoice, ShopFields, What};
pub use drafts::Draft;
pub use files::{Purpose, Recent};
pub use findings::Tab;
pub use launch::{Launch, run};
pub use work::{compare_bytes, picture_bytes, today};

use crate::editor::Editor;
use crate::geom::{Axis, Length};
use crate::model::{Catalogue, Scene, Settings};
use crate::rules::Finding;
use crate::view::ViewKind;
use eframe::egui::{self, CentralPanel, Key, Panel, Ui};
use std::path::PathBuf;
use std::sync::Arc;

/// What the window shows and how; nothing of it belongs to the scene.
#[derive(Clone, Debug)]
pub struct Look {
    /// Shelf shown.
    pub shelf: bool,
    /// Details shown.
    pub details: bool,
    /// Findings shown.
    pub findings: bool,
    /// Front view shown.
    pub front: bool,
    /// Names on the sheet.
    pub labels: bool,
    /// Dashed edges behind nearer parts.
    pub hidden_edges: bool,
    /// Grid on the sheet.
    pub grid: bool,
    /// Ports shown; dragging from one leads a cable.
    pub ports: bool,
    /// Dark theme.
    pub dark: bool,
    /// High contrast.
    pub contrast: bool,
    /// Accepted findings are listed too.
    pub accepted: bool,
    /// Which list is open below.
    pub tab: Tab,
    /// Cut depth of each view towards the eye: nearer things are not drawn.
    pub cut: [Option<Length>; 3],
    /// The picture that was exported last.
    pub export: ExportChoice,
    /// The paper that was exported last.
    pub paper: PaperChoice,
    /// The shop's fields, while a logo is chosen.
    pub shop: ShopFields,
}

impl Default for Look {
    fn default() -> Look {
        Look {
            shelf: true,
            details: true,
            findings: true,
            front: true,
            labels: true,
            hidden_edges: true,
            grid: true,
            ports: false,
            dark: false,
            contrast: false,
            accepted: false,
            tab: Tab::Findings,
            cut: [None; 3],
            export: ExportChoice::default(),
            paper: PaperChoice::default(),
            shop: ShopFields::default(),
        }
    }
}

/// The program's window.
pub struct App {
    /// The scene being edited.
    pub editor: Editor,
    /// What is shown and how.
    pub look: Look,
    /// Zoom and pan.
    pub camera: Camera,
    /// The file at hand.
    pub path: Option<PathBuf>,
    /// The open question.
    pub dialog: Option<Dialog>,
    /// False in tests and where paths are typed.
    pub native_dialogs: bool,
    /// Key of the finding that was chosen.
    pub focus: Option<String>,
    /// Where the shop's name, logo and colour are kept; `None` keeps none.
    pub shop_file: Option<PathBuf>,
    recent: Recent,
    drafts: drafts::Drafts,
    shelf: shelf::Shelf,
    sheet: sheet::Sheet,
    variants: variants::Variants,
    search: search::SearchPanel,
    alternatives: alternatives::Alternatives,
    leads: leads::Leads,
    ways: ways::Ways,
    job: Option<files::Job>,
    after_save: Option<After>,
    notice: String,
    quit: bool,
    leave: bool,
    ctx: Option<egui::Context>,
    themed: Option<(bool, bool)>,
    last_title: String,
    /// State of the scene and the sentence that stood in the status line then.
    told: (u64, String),
}

impl App {
    /// A window over a scene.
    pub fn new(
        catalogue: Arc<Catalogue>,
        settings: Arc<Settings>,
        scene: Scene,
        path: Option<PathBuf>,
    ) -> App {
        App {
            editor: Editor::new(catalogue, settings, scene),
            look: Look::default(),
            camera: Camera::default(),
            path,
            dialog: None,
            native_dialogs: true,
            focus: None,
            shop_file: None,
            recent: Recent::at(None),
            drafts: drafts::Drafts::default(),
            shelf: shelf::Shelf::default(),
            sheet: sheet::Sheet::default(),
            variants: variants::Variants::default(),
            search: search::SearchPanel::default(),
            alternatives: alternatives::Alternatives::default(),
            leads: leads::Leads::default(),
            ways: ways::Ways::default(),
            job: None,
            after_save: None,
            notice: String::new(),
            quit: false,
            leave: false,
            ctx: None,
            themed: None,
            last_title: String::new(),
            told: (0, String::new()),
        }
    }

    /// Keeps recent files in the given list.
    pub fn with_recent(mut self, recent: Recent) -> App {
        self.recent = recent;
        if let Some(path) = &self.path {
            self.recent.add(path);
        }
        self
    }

    /// Shows a sentence in the status line.
    pub fn say(&mut self, text: String) {
        self.notice = text;
    }

    /// The sentence in the status line.
    pub fn notice(&self) -> &str {
        &self.notice
    }

    fn turn(&mut self, axis: Axis, quarters: i32) {
        if self.editor.is_holding() {
            self.editor
                .handle(crate::editor::tool::Event::Turn(axis, quarters));
        } else {
            self.editor.turn(axis, quarters);
        }
    }

    /// Chooses a finding: selects its parts and shows its place in every view.
    fn go_to(&mut self, finding: &Finding) {
        use crate::rules::Subject;
        self.focus = Some(finding.key());
        let mut parts = Vec::new();
        let mut cable = None;
        for s in &finding.subjects {
            match s {
                Subject::Part(id) => parts.push(id.clone()),
                Subject::Port(p) => parts.push(p.part.clone()),
                Subject::Cable(id) => cable = Some(id.clone()),
                _ => {}
            }
        }
        match cable {
            Some(id) => self.editor.select_cable(Some(id)),
            None => self.editor.select(parts),
        }
        if let Some(place) = finding.place {
            let size = place.size().as_mm();
            let extent = size.iter().copied().fold(0.0, f64::max);
            self.camera.go_to(place.centre(), extent);
        }
        let sentence = finding.sentence();
        let stop = if sentence.ends_with('.') { "" } else { "." };
        self.say(format!("{sentence}{stop} {}", finding.hint));
    }

    /// Other arrangements are looked at where something shows them.
    fn look_after_arrangements(&mut self, ctx: &egui::Context) {
        let tab = matches!(self.look.tab, Tab::Arrangements | Tab::Comparison);
        let shown = self.look.findings && tab;
        let marked = self.variants.marked && self.variants.base.is_some();
        if shown || marked {
            self.look_at_arrangements(ctx);
        }
    }

    /// Opens a list below.
    fn show_tab(&mut self, tab: Tab) {
        let open = self.look.findings && self.look.tab == tab;
        self.look.findings = true;
        self.look.tab = if open { Tab::Findings } else { tab };
    }

    fn next_finding(&mut self) {
        let findings = self.editor.checker().findings();
        let at = findings
            .iter()
            .position(|f| Some(f.key()) == self.focus)
            .map_or(0, |i| (i + 1) % findings.len().max(1));
        let Some(finding) = findings.get(at).map(|f| (*f).clone()) else {
            return;
        };
        self.look.findings = true;
        self.look.tab = Tab::Findings;
        self.go_to(&finding);
    }

    fn keys(&mut self, ui: &Ui) {
        if self.dialog.is_some() {
            return;
        }
        // An open menu takes Escape and arrows for itself.
        if egui::Popup::is_any_open(ui.ctx()) {
            return;
        }
        let typing = ui.ctx().text_edit_focused();
        for action in Action::ALL {
            let Some(key) = action.key() else { continue };
            if typing && !action.works_while_typing() {
                continue;
            }
            if action.enabled(self) && ui.input_mut(|i| consume(i, &key)) {
                action.run(self);
            }
        }
        if typing {
            return;
        }
        if ui.input_mut(|i| i.consume_key(egui::Modifiers::NONE, Key::Escape)) {
            self.editor.handle(crate::editor::tool::Event::Cancel);
        }
        if ui.input_mut(|i| i.consume_key(egui::Modifiers::NONE, Key::Backspace)) {
            self.editor.delete();
        }
        self.nudge_keys(ui);
    }

    fn nudge_keys(&mut self, ui: &Ui) {
        let view = self.sheet.under_pointer().unwrap_or(ViewKind::Top);
        let pressed: Vec<(Key, egui::Modifiers)> = ui.input(|i| {
            i.events
                .iter()
                .filter_map(|e| match e {
                    egui::Event::Key {
                        key,
                        pressed: true,
                        modifiers,
                        ..
                    } => Some((*key, *modifiers)),
                    _ => None,
                })
                .collect()
        });
        for (key, modifiers) in pressed {
            if let Some((dir, step)) = actions::nudge(key, modifiers, view)
                && !self.editor.is_holding()
                && self.editor.nudge(dir, step)
            {
                self.say(format!("Moved {step} mm along {}.", dir.name()));
            }
        }
    }

    /// A sentence about what came before does not outlive the next change.
    fn refresh_notice(&mut self) {
        let state = self.editor.history().state();
        if state != self.told.0 && self.notice == self.told.1 {
            let label = self.editor.history().undo_label().unwrap_or_default();
            let mut letters = label.chars();
            self.notice = match letters.next() {
                Some(first) => format!("Done: {}{}.", first, letters.as_str()),
                None => String::new(),
            };
        }
        if state != self.told.0 || self.notice != self.told.1 {
            self.told = (state, self.notice.clone());
        }
    }

    fn status_ui(&mut self, ui: &mut Ui) {
        self.refresh_notice();
        ui.horizontal(|ui| {
            let measuring = self.editor.measuring().map(|m| m.hint());
            let hint = match self.editor.tool() {
                crate::editor::tool::Tool::Idle => measuring.unwrap_or_default(),
                tool => tool.hint(),
            };
            let text = match (&self.job, hint.is_empty()) {
                (Some(job), _) => format!("… {}", job.label),
                (None, false) => hint,
                (None, true) => self.notice.clone(),
            };
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                let (stops, cautions, remarks) = self.counts();
                ui.label(format!("■ {stops}  ▲ {cautions}  ○ {remarks}"))
                    .on_hover_text(
                        "Open findings: stop, caution, remark. F8 goes to the next one.",
                    );
                ui.separator();
                if let Some(text) = self.sheet.position_text() {
                    ui.label(text);
                    ui.separator();
                }
                ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                    ui.add(egui::Label::new(text).truncate());
                });
            });
        });
    }
}

/// A key press with exactly these modifiers: Shift+X is not X.
fn consume(input: &mut egui::InputState, key: &egui::KeyboardShortcut) -> bool {
    let exact = |m: &egui::Modifiers| {
        m.shift == key.modifiers.shift
            && m.alt == key.modifiers.alt
            && (m.command || m.ctrl) == key.modifiers.command
    };
    let before = input.events.len();
    let mut done = false;
    input.events.retain(|e| match e {
        egui::Event::Key {
            key: k,
            pressed: true,
            modifiers,
            ..
        } if !done && *k == key.logical_key && exact(modifiers) => {
            done = true;
            false
        }
        _ => true,
    });
    done && input.events.len() < before
}

impl eframe::App for App {
    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        let ctx = ui.ctx().clone();
        self.ctx = Some(ctx.clone());
        self.poll();
        self.poll_search();
        self.keep_ways();
        self.drops(&ctx);
        // Keys first: they may change the theme that everything below is drawn in.
        self.keys(ui);
        self.apply_theme(&ctx);
        self.look_after_arrangements(&ctx);
        Panel::top("menu").show(ui, |ui| self.menu_ui(ui));
        Panel::bottom("status").show(ui, |ui| self.status_ui(ui));
        if self.look.findings {
            // One height for all lists: the sheet stands still when another one is looked at.
            // The search has three columns to show, and a height of its own.
            let (name, share) = match self.look.tab {
                Tab::Search => ("search", 0.38),
                _ => ("lists", 0.26),
            };
            let high = (ctx.content_rect().height() * share).clamp(150.0, 400.0);
            Panel::bottom(name)
                .default_size(high)
                .size_range(80.0..=520.0)
                .resizable(true)
                .show(ui, |ui| {
                    // It keeps its height when it has little to say for a moment.
                    ui.set_min_height(ui.available_height());
                    self.findings_ui(ui);
                });
        }
        if self.look.shelf {
            Panel::left("shelf")
                .default_size(230.0)
                .size_range(160.0..=400.0)
                .show(ui, |ui| self.shelf_ui(ui));
        }
        if self.look.details {
            Panel::right("details")
                .default_size(270.0)
                .size_range(200.0..=440.0)
                .show(ui, |ui| self.details_ui(ui));
        }
        CentralPanel::no_frame().show(ui, |ui| self.sheet_ui(ui));
        self.dialog_ui(&ctx);
        self.window_title(&ctx);
        self.closing(&ctx);
        self.keep_draft(&ctx);
    }
}
