//! One card for each arrangement: its name, small pictures, counts of findings.

use super::super::painter::{self, Ready, Screen};
use super::super::{Action, App, theme};
use super::looked::PICTURE;
use crate::view::list::{Rect as PageRect, Role};
use eframe::egui::{self, Align2, Pos2, Rect, Sense, Stroke, StrokeKind, Ui, Vec2};
use std::sync::Arc;

/// Points of the window for a millimetre of the page.
const PPM: f32 = 96.0 / 25.4;
/// Width of the list of differences.
const LIST: f32 = 350.0;
/// Height of a card's lettering: name above the pictures, counts below.
const WORDS: f32 = 40.0;

/// A picture that is ready to paint, kept until its arrangement or place changes.
pub struct Drawn {
    key: (usize, usize, Rect, (bool, bool)),
    of: Arc<super::looked::Looked>,
    ready: Vec<Ready>,
}

impl App {
    /// Draws the cards, and beside them what differs from the base.
    pub(in crate::app) fn cards_ui(&mut self, ui: &mut Ui) {
        let area = ui.available_rect_before_wrap();
        let list = Rect::from_min_max(Pos2::new(area.right() - LIST, area.top()), area.max);
        let cards = Rect::from_min_max(area.min, Pos2::new(list.left() - 8.0, area.bottom()));
        let mut left = ui.new_child(egui::UiBuilder::new().max_rect(cards));
        egui::ScrollArea::horizontal()
            .id_salt("cards")
            .auto_shrink([false, false])
            .show(&mut left, |ui| {
                let high = (ui.available_height() - 8.0).clamp(84.0, 320.0);
                ui.horizontal_top(|ui| {
                    for i in 0..self.editor.scene().arrangements.len() {
                        self.card(ui, i, high);
                    }
                    self.new_card(ui, high);
                });
            });
        let line = self.palette();
        let stroke = Stroke::new(
            1.0,
            theme::role_colour(&line, Role::Ruler, false).gamma_multiply(0.5),
        );
        ui.painter()
            .vline(list.left() - 4.0, area.y_range(), stroke);
        let mut right =
            ui.new_child(egui::UiBuilder::new().max_rect(list.shrink2(Vec2::new(4.0, 0.0))));
        self.difference_rows(&mut right);
        ui.advance_cursor_after_rect(area);
    }

    fn card(&mut self, ui: &mut Ui, index: usize, high: f32) {
        let factor = ((high - WORDS - 8.0) / (PICTURE[1] as f32 * PPM)).clamp(0.3, 3.0);
        let picture = Vec2::new(PICTURE[0] as f32, PICTURE[1] as f32) * PPM * factor;
        let wide = (picture.x * 2.0 + 24.0).max(204.0);
        let (rect, response) = ui.allocate_exact_size(Vec2::new(wide, high), Sense::click());
        let scene = self.editor.scene();
        let Some(name) = scene.arrangements.get(index).map(|a| a.name.clone()) else {
            return;
        };
        let current = scene.current == index;
        response.widget_info(|| {
            let words = format!("arrangement {name}");
            egui::WidgetInfo::selected(egui::Role::Button, true, current, words)
        });
        if !ui.is_rect_visible(rect) {
            return;
        }
        let palette = self.palette();
        let c = |role| theme::role_colour(&palette, role, false);
        let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
        let edge = match (current, response.hovered()) {
            (true, _) => Stroke::new(2.0, c(Role::Selected)),
            (false, true) => Stroke::new(1.0, c(Role::Ink)),
            (false, false) => Stroke::new(1.0, c(Role::Ruler).gamma_multiply(0.6)),
        };
        painter.rect(rect, 3, c(Role::Paper), edge, StrokeKind::Inside);
        let bold = egui::FontId::new(12.5, theme::family(true));
        let small = egui::FontId::new(11.0, theme::family(false));
        let base = if self.base() == Some(index) {
            "base"
        } else {
            ""
        };
        let end = painter.text(
            rect.right_top() + Vec2::new(-8.0, 5.0),
            Align2::RIGHT_TOP,
            base,
            small.clone(),
            c(Role::TextSoft),
        );
        let mut job = egui::text::LayoutJob::simple_singleline(name.clone(), bold, c(Role::Text));
        job.wrap = egui::text::TextWrapping::truncate_at_width(end.left() - rect.left() - 14.0);
        let galley = ui.fonts_mut(|f| f.layout_job(job));
        painter.galley(rect.min + Vec2::new(8.0, 4.0), galley, c(Role::Text));
        let known = self.variants.of(index).cloned();
        let words = match &known {
            Some(l) => {
                let [stops, cautions, remarks] = l.counts;
                let (placed, beside) = l.parts_placed;
                let rest = match beside {
                    0 => format!("{placed} parts"),
                    n => format!("{placed} parts, {n} beside"),
                };
                format!("■ {stops}  ▲ {cautions}  ○ {remarks}   {rest}")
            }
            None => "being checked…".to_owned(),
        };
        painter.text(
            rect.left_bottom() + Vec2::new(8.0, -4.0),
            Align2::LEFT_BOTTOM,
            words.clone(),
            small,
            c(Role::Text),
        );
        for view in 0..2 {
            let at = Rect::from_min_size(
                rect.min + Vec2::new(8.0 + (picture.x + 8.0) * view as f32, 24.0),
                picture,
            );
            self.small_picture(ui, index, view, at, factor);
        }
        let tip = format!(
            "{name}: {words} (stop, caution, remark). Click shows it; right-click for more."
        );
        let response = response.on_hover_text(tip);
        if response.clicked() {
            self.choose_arrangement(index);
        }
        if response.double_clicked() {
            self.ask_arrangement_name(index);
        }
        response.context_menu(|ui| self.card_menu(ui, index));
    }

    fn small_picture(&mut self, ui: &Ui, index: usize, view: usize, at: Rect, factor: f32) {
        let Some(looked) = self.variants.of(index).cloned() else {
            return;
        };
        let (list, size) = &looked.pictures[view];
        let ppm = PPM * factor;
        let size = Vec2::new(size[0] as f32, size[1] as f32) * ppm;
        let origin = at.center() - size / 2.0;
        let screen = Screen { origin, ppm };
        let key = (index, view, at, (self.look.dark, self.look.contrast));
        let place = self
            .variants
            .shapes
            .iter()
            .position(|d| d.key.0 == index && d.key.1 == view);
        let fresh = place.is_some_and(|p| {
            let drawn = &self.variants.shapes[p];
            drawn.key == key && Arc::ptr_eq(&drawn.of, &looked)
        });
        if !fresh {
            let palette = self.palette();
            let colours = |role, wash| theme::role_colour(&palette, role, wash);
            let clip = PageRect::spanning(screen.page(at.min), screen.page(at.max));
            let drawn = Drawn {
                key,
                ready: painter::ready(list, screen, clip, ui.ctx().pixels_per_point(), &colours),
                of: looked.clone(),
            };
            match place {
                Some(p) => self.variants.shapes[p] = drawn,
                None => self.variants.shapes.push(drawn),
            }
        }
        let found = self.variants.shapes.iter().find(|d| d.key == key);
        if let Some(drawn) = found {
            let clip = at.expand(2.0).intersect(ui.clip_rect());
            painter::paint(
                &ui.painter().with_clip_rect(clip),
                &drawn.ready,
                screen,
                screen.ppm,
            );
        }
    }

    fn card_menu(&mut self, ui: &mut Ui, index: usize) {
        let n = self.editor.scene().arrangements.len();
        let entry = |ui: &mut Ui, enabled: bool, text: &str, tip: &str| {
            let r = ui
                .add_enabled(enabled, egui::Button::new(text))
                .on_hover_text(tip);
            let clicked = r.clicked();
            if clicked {
                ui.close();
            }
            clicked
        };
        if entry(
            ui,
            true,
            "Branch from it",
            "Copies it beside itself and goes on with the copy.",
        ) {
            self.editor.choose(index);
            self.branch();
        }
        if entry(ui, true, "Rename…", "Gives it another name.") {
            self.ask_arrangement_name(index);
        }
        if entry(
            ui,
            true,
            "Measure against it",
            "Makes it the base of differences and table.",
        ) {
            self.measure_against(Some(index));
        }
        ui.separator();
        if entry(
            ui,
            index > 0,
            "Move left",
            "Exchanges it with the one before it.",
        ) {
            self.editor.move_arrangement(index, index - 1);
        }
        if entry(
            ui,
            index + 1 < n,
            "Move right",
            "Exchanges it with the next one.",
        ) {
            self.editor.move_arrangement(index, index + 1);
        }
        ui.separator();
        if entry(
            ui,
            n > 1,
            "Remove",
            "Takes it out of the scene; undo brings it back.",
        ) {
            self.remove_arrangement(index);
        }
    }

    fn new_card(&mut self, ui: &mut Ui, high: f32) {
        let text = "Branch\nfrom the one\nat hand";
        let button = egui::Button::new(text).min_size(Vec2::new(96.0, high));
        let response = ui.add(button);
        response.widget_info(|| {
            egui::WidgetInfo::labeled(egui::Role::Button, true, Action::Branch.text())
        });
        let tip = super::super::menu::tip(ui.ctx(), Action::Branch);
        if response.on_hover_text(tip).clicked() {
            Action::Branch.run(self);
        }
    }
}
