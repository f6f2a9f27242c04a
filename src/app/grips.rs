//! The corners of the selected cable's way on the sheet: marks to take hold of, and
//! their context menu.

use super::{App, theme};
use crate::editor::tool::{Grip, Tool};
use crate::geom::Vec3;
use crate::model::Via;
use crate::view::ViewKind;
use crate::view::list::Role;
use eframe::egui::{Pos2, Rect, Stroke, StrokeKind, Ui, Vec2};

/// How near to a grip the pointer takes hold of it, in points.
const NEAR: f32 = 7.0;
/// Half the side of a corner's mark, in points.
const MARK: f32 = 4.0;

impl App {
    fn on_screen(&self, view: ViewKind, area: Rect, p: Vec3) -> Pos2 {
        self.camera.screen(view, area, p.as_mm().map(|v| v as f32))
    }

    /// The grip under a window point: corners before middles, then the nearest.
    pub(super) fn grip_at(&self, view: ViewKind, area: Rect, at: Pos2) -> Option<Grip> {
        let rank = |grip: &Grip, away: f32| (matches!(grip, Grip::Middle(_)), away);
        let near = self.editor.grips().into_iter().filter_map(|(grip, p)| {
            let away = (self.on_screen(view, area, p) - at).length();
            (away <= NEAR).then(|| (rank(&grip, away), grip))
        });
        near.min_by(|(a, _), (b, _)| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)))
            .map(|(_, grip)| grip)
    }

    /// Draws the grips: squares at corners, filled where pinned, rings in the middle of
    /// legs.
    pub(super) fn grip_marks(&self, ui: &Ui, panes: &[(ViewKind, Rect)]) {
        if !matches!(self.editor.tool(), Tool::Idle | Tool::Leading(_))
            || self.editor.measuring().is_some()
        {
            return;
        }
        let palette = self.palette();
        let ink = theme::role_colour(&palette, Role::Selected, false);
        let paper = theme::role_colour(&palette, Role::Paper, false);
        let grips = self.editor.grips();
        let chosen = self.editor.chosen_corner();
        for (view, area) in panes {
            let painter = ui.painter().with_clip_rect(*area);
            for (grip, p) in &grips {
                let at = self.on_screen(*view, *area, *p);
                let Grip::Corner(corner) = grip else {
                    painter.circle(at, 2.5, paper, Stroke::new(1.0, ink));
                    continue;
                };
                let size = match chosen == Some(corner) {
                    true => MARK + 2.0,
                    false => MARK,
                };
                let rect = Rect::from_center_size(at, Vec2::splat(2.0 * size));
                let fill = if self.is_pinned(grip) { ink } else { paper };
                painter.rect(rect, 0, fill, Stroke::new(1.5, ink), StrokeKind::Inside);
            }
        }
    }

    fn is_pinned(&self, grip: &Grip) -> bool {
        let at = grip.corner();
        let cables = &self.editor.scene().arrangement().cables;
        let stretch = cables.get(&at.cable).and_then(|c| c.plugs.get(at.stretch));
        let via = stretch.and_then(|plug| plug.via.get(at.index));
        via.is_some_and(Via::is_pinned)
    }

    /// What can be done with the corner that was clicked last; draws nothing without one.
    pub(super) fn corner_entries(&mut self, ui: &mut Ui) {
        let Some(at) = self.editor.chosen_corner().cloned() else {
            return;
        };
        let words = match self.is_pinned(&Grip::Corner(at.clone())) {
            true => "Unpin corner",
            false => "Pin corner",
        };
        let tip = "A newly laid way passes through what is pinned.";
        if ui.button(words).on_hover_text(tip).clicked() {
            self.editor.pin_corner(&at);
            ui.close();
        }
        let tip = "Takes the corner off the way.";
        if ui.button("Remove corner").on_hover_text(tip).clicked() {
            self.editor.remove_corner(&at);
            ui.close();
        }
        ui.separator();
    }
}
