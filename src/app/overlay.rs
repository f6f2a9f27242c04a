//! What the tool at hand shows above the views: the rubber band, the loose end of
//! a cable, the words beside the pointer.

use super::{App, theme};
use crate::editor::tool::Tool;
use crate::model::PortRef;
use crate::view::ViewKind;
use crate::view::list::Role;
use eframe::egui::{self, Pos2, Rect, Stroke, StrokeKind, Ui, Vec2};

impl App {
    /// Draws the tool's marks and words.
    pub(super) fn tool_overlay(&self, ui: &Ui, panes: &[(ViewKind, Rect)]) {
        let palette = self.palette();
        let c = |role| theme::role_colour(&palette, role, false);
        if self.look.ports {
            self.port_marks(ui, panes);
        }
        self.grip_marks(ui, panes);
        match self.editor.tool() {
            Tool::Band(band) if band.is_drawn() => {
                let Some((view, area)) = panes.iter().find(|(v, _)| *v == band.from.view) else {
                    return;
                };
                let point = |p: crate::geom::Vec3| {
                    self.camera
                        .screen(*view, *area, p.as_mm().map(|v| v as f32))
                };
                let rect = Rect::from_two_pos(point(band.from.at), point(band.to.at));
                let wash = theme::role_colour(&palette, Role::Selected, true);
                ui.painter().with_clip_rect(*area).rect(
                    rect,
                    0,
                    wash,
                    Stroke::new(1.0, c(Role::Selected)),
                    StrokeKind::Inside,
                );
            }
            Tool::Cabling(cabling) => {
                let Some((view, area)) = panes.iter().find(|(v, _)| *v == cabling.pointer.view)
                else {
                    return;
                };
                let ends = self.ports(*view, *area);
                let start = ends.iter().find(|(p, _)| *p == cabling.from);
                let at = cabling.pointer.at.as_mm().map(|v| v as f32);
                let end = self.camera.screen(*view, *area, at);
                if let Some((_, start)) = start {
                    let stroke = Stroke::new(2.0, c(Role::Selected));
                    ui.painter()
                        .with_clip_rect(*area)
                        .line_segment([*start, end], stroke);
                }
                let hint = self.editor.tool().hint();
                let refused = matches!(cabling.verdict, Some(Err(_)));
                self.words(ui, end, &hint, refused);
            }
            Tool::Placing(p) => {
                let at = ui.input(|i| i.pointer.latest_pos());
                if let Some(at) = at {
                    let hint = self.editor.tool().hint();
                    self.words(ui, at, &hint, p.refusal().is_some());
                }
            }
            Tool::Moving(m) => {
                let at = ui.input(|i| i.pointer.latest_pos());
                if let Some(at) = at
                    && (m.refusal().is_some() || m.landing.offer.is_some())
                {
                    let hint = self.editor.tool().hint();
                    self.words(ui, at, &hint, m.refusal().is_some());
                }
            }
            Tool::Idle if self.editor.measuring().is_some() => self.measure_marks(ui, panes),
            Tool::Idle => self.port_name_at_pointer(ui, panes),
            _ => {}
        }
    }

    /// Rings the place that a list points at, in every view.
    pub(super) fn lit_place(&mut self, ui: &Ui, panes: &[(ViewKind, Rect)]) {
        let Some(place) = self.sheet.lit.take() else {
            return;
        };
        let palette = self.palette();
        let ink = theme::role_colour(&palette, Role::Selected, false);
        let paper = theme::role_colour(&palette, Role::Paper, false);
        for (view, area) in panes {
            let at = self
                .camera
                .screen(*view, *area, place.as_mm().map(|v| v as f32));
            let painter = ui.painter().with_clip_rect(*area);
            painter.circle_stroke(at, 9.0, Stroke::new(5.0, paper));
            painter.circle_stroke(at, 9.0, Stroke::new(2.0, ink));
        }
    }

    /// The point that measuring would take, and what was found beside the pointer.
    fn measure_marks(&self, ui: &Ui, panes: &[(ViewKind, Rect)]) {
        let Some(m) = self.editor.measuring() else {
            return;
        };
        let palette = self.palette();
        let ink = theme::role_colour(&palette, Role::Selected, false);
        let pointer = ui.input(|i| i.pointer.latest_pos());
        let Some((view, area)) = panes
            .iter()
            .find(|(_, area)| pointer.is_some_and(|at| area.contains(at)))
        else {
            return;
        };
        ui.set_cursor_icon(egui::CursorIcon::Crosshair);
        let ready = m.ready.as_ref().filter(|s| s.view == *view);
        if let Some(spot) = ready
            && let Some(on) = &spot.on
        {
            let mm = spot.at.as_mm().map(|v| v as f32);
            let at = self.camera.screen(*view, *area, mm);
            let painter = ui.painter().with_clip_rect(*area);
            let r = 5.0;
            let ring = vec![
                at + Vec2::new(0.0, -r),
                at + Vec2::new(r, 0.0),
                at + Vec2::new(0.0, r),
                at + Vec2::new(-r, 0.0),
            ];
            painter.add(egui::Shape::closed_line(ring, Stroke::new(1.5, ink)));
            if m.result.is_none() {
                self.words(ui, at, on, false);
            }
        }
    }

    /// A sentence beside the pointer, kept inside the window.
    fn words(&self, ui: &Ui, at: Pos2, text: &str, refused: bool) {
        if text.is_empty() {
            return;
        }
        let palette = self.palette();
        let c = |role| theme::role_colour(&palette, role, false);
        let (sign, role) = match refused {
            true => ("× ", Role::Clash),
            false => ("", Role::Text),
        };
        let font = egui::FontId::new(12.0, theme::family(false));
        let painter = ui.ctx().layer_painter(egui::LayerId::new(
            egui::Order::Tooltip,
            egui::Id::unique("words"),
        ));
        let galley = painter.layout(format!("{sign}{text}"), font, c(role), 300.0);
        let size = galley.size() + Vec2::new(16.0, 8.0);
        let window = ui.ctx().content_rect();
        let mut min = at + Vec2::new(18.0, 18.0);
        if min.x + size.x > window.right() {
            min.x = (at.x - 18.0 - size.x).max(window.left());
        }
        if min.y + size.y > window.bottom() {
            min.y = (at.y - 18.0 - size.y).max(window.top());
        }
        let rect = Rect::from_min_size(min, size);
        let stroke = Stroke::new(1.0, c(role));
        painter.rect(rect, 2, c(Role::Paper), stroke, StrokeKind::Inside);
        painter.galley(rect.min + Vec2::new(8.0, 4.0), galley, c(role));
    }

    /// Ports as small rings: filled where a cable is plugged in, thick where they
    /// take the cable being drawn, crossed out where they do not.
    fn port_marks(&self, ui: &Ui, panes: &[(ViewKind, Rect)]) {
        let palette = self.palette();
        let c = |role| theme::role_colour(&palette, role, false);
        let open: Option<std::collections::BTreeSet<PortRef>> = match self.editor.tool() {
            Tool::Cabling(_) => Some(self.editor.open_ports().into_iter().collect()),
            _ => None,
        };
        let taken: std::collections::BTreeSet<&PortRef> = self
            .editor
            .scene()
            .arrangement()
            .cables
            .values()
            .flat_map(|cable| cable.ports())
            .collect();
        for (view, area) in panes {
            let painter = ui.painter().with_clip_rect(*area);
            for (port, at) in self.ports(*view, *area) {
                let full = taken.contains(&port);
                let takes = open.as_ref().map(|o| o.contains(&port));
                let fill = match full {
                    true => c(Role::Ink),
                    false => c(Role::Paper),
                };
                let (radius, role) = match takes {
                    Some(true) => (6.0, Role::ZoneOpen),
                    Some(false) => (3.0, Role::TextSoft),
                    None => (3.0, Role::Ink),
                };
                painter.circle(at, radius, fill, Stroke::new(1.5, c(role)));
                if takes == Some(true) {
                    painter.circle_filled(at, 2.0, c(role));
                }
            }
        }
    }

    fn port_name_at_pointer(&self, ui: &Ui, panes: &[(ViewKind, Rect)]) {
        if !self.look.ports {
            return;
        }
        let Some(at) = ui.input(|i| i.pointer.latest_pos()) else {
            return;
        };
        for (view, area) in panes {
            if !area.contains(at) {
                continue;
            }
            let near = self
                .ports(*view, *area)
                .into_iter()
                .map(|(port, pos)| ((pos - at).length(), port))
                .filter(|(away, _)| *away < 8.0)
                .min_by(|a, b| a.0.total_cmp(&b.0));
            if let Some((_, port)) = near {
                let text = match self.editor.cable_at(&port) {
                    Some((_, cable)) => format!("{} ({})", self.port_name(&port), cable.name),
                    None => format!("{}: drag to another port", self.port_name(&port)),
                };
                self.words(ui, at, &text, false);
            }
        }
    }
}
