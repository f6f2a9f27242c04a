//! The sheet: panes for the views on one depth axis, rulers, cut heights.

use super::pane::{Pane, Zoom};
use super::{App, theme};
use crate::geom::{Length, Vec3};
use crate::view::ViewKind;
use crate::view::list::Role;
use eframe::egui::{self, Pos2, Rect, Shape, Ui, Vec2};

/// Width of the rulers in points.
const RULER: f32 = 18.0;
/// Width of the strip with the cut height.
const CUT: f32 = 22.0;

/// Room on the sides of a part, as of a revision of the scene.
pub(super) type Sides = (
    u64,
    crate::model::PartId,
    [Option<crate::placement::Side>; 6],
);

/// What the sheet remembers between frames.
#[derive(Default)]
pub struct Sheet {
    pub(super) panes: Vec<Pane>,
    pub(super) zoom: Option<Zoom>,
    pub(super) pointer: Option<(ViewKind, Vec3)>,
    pub(super) hover: Option<crate::view::list::Owner>,
    pub(super) pressed_at: Option<(ViewKind, Rect, Pos2)>,
    pub(super) alt: bool,
    /// A part is being dragged from the shelf with the button down.
    pub(super) from_shelf: bool,
    /// Of the selected part.
    pub(super) sides: Option<Sides>,
    /// The hinged panel whose way is shown, by the index of its plate.
    pub(super) panel: Option<usize>,
    /// A place that a list points at, for this frame.
    pub(super) lit: Option<Vec3>,
}

impl Sheet {
    /// The view under the pointer.
    pub fn under_pointer(&self) -> Option<ViewKind> {
        self.pointer.map(|(view, _)| view)
    }

    /// The scene coordinates under the pointer, for the status line.
    pub fn position_text(&self) -> Option<String> {
        let (view, p) = self.pointer?;
        let (a, b) = (view.right().axis(), view.up().axis());
        let name = |axis| ["x", "y", "z"][crate::geom::Axis::index(axis)];
        let mut both = [a, b];
        both.sort();
        let text: Vec<String> = both
            .iter()
            .map(|axis| format!("{} {}", name(*axis), p.along(*axis).text1()))
            .collect();
        Some(text.join("  "))
    }
}

/// The panes of the views in an area: top above side on one depth axis, front
/// beside the side view on one height.
pub fn layout(area: Rect, size: Vec3, front: bool) -> Vec<(ViewKind, Rect)> {
    let s = size.as_mm().map(|v| v.max(1.0) as f32);
    let share = (s[0] / (s[0] + s[2])).clamp(0.3, 0.7);
    let column = match front {
        true => (s[1] / (s[1] + s[0])).clamp(0.35, 0.7),
        false => 1.0,
    };
    let line = 1.0;
    let x = area.left() + (area.width() * column).round();
    let y = area.top() + (area.height() * share).round();
    let mut panes = vec![
        (
            ViewKind::Top,
            Rect::from_min_max(area.min, Pos2::new(x - line, y - line)),
        ),
        (
            ViewKind::Side,
            Rect::from_min_max(
                Pos2::new(area.left(), y),
                Pos2::new(x - line, area.bottom()),
            ),
        ),
    ];
    if front {
        panes.push((
            ViewKind::Front,
            Rect::from_min_max(Pos2::new(x, y), area.max),
        ));
    }
    panes
}

impl App {
    /// Draws all views and feeds the pointer to the editor.
    pub(super) fn sheet_ui(&mut self, ui: &mut Ui) {
        let area = ui.max_rect();
        let palette = self.palette();
        let paper = theme::role_colour(&palette, Role::Paper, false);
        ui.painter().rect_filled(area, 0, paper);
        let size = self.editor.scene().enclosure.size;
        let panes = layout(area, size, self.look.front);
        let inner: Vec<(ViewKind, Rect)> = panes
            .iter()
            .map(|(view, r)| (*view, drawing_area(*r)))
            .collect();
        self.camera.settle(size, &inner);
        self.pointer_input(ui, &inner);
        for (view, outer) in &panes {
            self.pane_ui(ui, *view, *outer);
        }
        let edge = theme::role_colour(&palette, Role::Ruler, false);
        for (_, r) in &panes {
            let stroke = egui::Stroke::new(1.0, edge.gamma_multiply(0.6));
            ui.painter()
                .rect_stroke(*r, 0, stroke, egui::StrokeKind::Inside);
        }
        if self.look.front {
            let corner = Rect::from_min_max(
                Pos2::new(panes[0].1.right() + 1.0, area.top()),
                Pos2::new(area.right(), panes[0].1.bottom()),
            );
            self.key_ui(ui, corner);
        }
        self.tool_overlay(ui, &inner);
        self.lit_place(ui, &inner);
        self.empty_hint(ui, inner[0].1);
    }

    fn pane_ui(&mut self, ui: &mut Ui, view: ViewKind, outer: Rect) {
        let pane = drawing_area(outer);
        self.draw_pane(ui, view, pane);
        self.rulers(ui, view, outer, pane);
        self.cut_ui(ui, view, outer);
        self.part_nodes(ui, view, pane);
    }

    /// Ticks and figures along the upper and left edge of a pane.
    fn rulers(&self, ui: &Ui, view: ViewKind, outer: Rect, pane: Rect) {
        let palette = self.palette();
        let ink = theme::role_colour(&palette, Role::Ruler, false);
        let ground = theme::role_colour(&palette, Role::Paper, false);
        let painter = ui.painter().with_clip_rect(outer);
        let top = Rect::from_min_max(outer.min, Pos2::new(outer.right(), pane.top()));
        let left = Rect::from_min_max(
            Pos2::new(outer.left(), pane.top()),
            Pos2::new(pane.left(), outer.bottom()),
        );
        painter.rect_filled(top, 0, ground);
        painter.rect_filled(left, 0, ground);
        let (label_step, tick_step) = steps(self.camera.scale);
        let small = egui::FontId::new(9.0, theme::family(false));
        for (along_x, dir) in [(true, view.right()), (false, view.up())] {
            let axis = dir.axis().index();
            let (a, b) = (
                self.camera.scene(view, pane, pane.min)[axis],
                self.camera.scene(view, pane, pane.max)[axis],
            );
            let (low, high) = (a.min(b), a.max(b));
            let mut n = (low / tick_step).floor() as i64;
            while (n as f32) * tick_step <= high {
                let mm = n as f32 * tick_step;
                let mut p = self.camera.middle;
                p[axis] = mm;
                let at = self.camera.screen(view, pane, p);
                let labelled = (mm / label_step - (mm / label_step).round()).abs() < 1e-3;
                let len = if labelled { 7.0 } else { 4.0 };
                let stroke = egui::Stroke::new(1.0, ink.gamma_multiply(0.8));
                if along_x && at.x >= pane.left() {
                    painter.vline(at.x, pane.top() - len..=pane.top(), stroke);
                    let galley = painter.layout_no_wrap(format!("{mm:.0}"), small.clone(), ink);
                    let right = at.x + 2.0 + galley.size().x;
                    // A figure that is cut could be read as another one.
                    if labelled && right < outer.right() - CUT - 4.0 {
                        let corner = Pos2::new(at.x + 2.0, outer.top() + 1.0);
                        painter.galley(corner, galley, ink);
                    }
                } else if !along_x && at.y >= pane.top() {
                    painter.hline(pane.left() - len..=pane.left(), at.y, stroke);
                    let galley = painter.layout_no_wrap(format!("{mm:.0}"), small.clone(), ink);
                    if labelled && at.y - 2.0 - galley.size().x > pane.top() {
                        let shape = egui::epaint::TextShape::new(
                            Pos2::new(outer.left() + 1.0, at.y - 2.0),
                            galley,
                            ink,
                        );
                        painter.add(Shape::Text(shape.with_angle(-std::f32::consts::FRAC_PI_2)));
                    }
                }
                n += 1;
            }
        }
        let corner = Rect::from_min_max(outer.min, pane.min);
        painter.rect_filled(corner, 0, ground);
        let strip = Rect::from_min_max(
            Pos2::new(outer.right() - CUT - 4.0, outer.top()),
            Pos2::new(outer.right(), pane.top()),
        );
        painter.rect_filled(strip, 0, ground);
        painter.text(
            Pos2::new(outer.right() - CUT / 2.0, outer.top() + RULER / 2.0),
            egui::Align2::CENTER_CENTER,
            "cut",
            small.clone(),
            ink,
        );
        painter.text(
            Pos2::new(pane.left() + 6.0, pane.top() + 5.0),
            egui::Align2::LEFT_TOP,
            view.name(),
            egui::FontId::new(11.0, theme::family(true)),
            theme::role_colour(&palette, Role::TextSoft, false),
        );
    }

    /// The cut height on the right edge of a pane.
    fn cut_ui(&mut self, ui: &mut Ui, view: ViewKind, outer: Rect) {
        let axis = view.eye().axis();
        let size = self.editor.scene().enclosure.size.along(axis).as_mm();
        let towards_zero = !view.eye().is_positive();
        let open = if towards_zero { 0.0 } else { size };
        let now = self.look.cut[view.index()].map_or(open, Length::as_mm);
        let mut mm = now;
        let strip = Rect::from_min_max(
            Pos2::new(outer.right() - CUT, outer.top() + RULER + 6.0),
            Pos2::new(outer.right() - 2.0, outer.bottom() - 8.0),
        );
        let range = match towards_zero {
            true => size..=0.0,
            false => 0.0..=size,
        };
        let mut child = ui.new_child(egui::UiBuilder::new().max_rect(strip).id_salt(view));
        child.spacing_mut().slider_width = strip.height() - 16.0;
        let slider = egui::Slider::new(&mut mm, range)
            .vertical()
            .show_value(false)
            .trailing_fill(true);
        let axis_name = ["x", "y", "z"][axis.index()];
        let response = child.add(slider);
        response.widget_info(|| {
            egui::WidgetInfo::slider(true, mm, format!("cut height, {}", view.name()))
        });
        let response = response.on_hover_text(format!(
            "Cut height: what lies nearer than {axis_name} = {mm:.0} mm is not drawn. At the end of the slider nothing is cut away."
        ));
        if response.changed() {
            let open_again = (mm - open).abs() < 0.5;
            self.look.cut[view.index()] =
                (!open_again).then(|| Length::from_mm(mm.round())).flatten();
        }
        if let Some(cut) = self.look.cut[view.index()] {
            let palette = self.palette();
            ui.painter().text(
                Pos2::new(outer.right() - CUT - 4.0, outer.top() + RULER + 5.0),
                egui::Align2::RIGHT_TOP,
                format!("cut at {axis_name} = {}", cut.text1()),
                egui::FontId::new(11.0, theme::family(true)),
                theme::role_colour(&palette, Role::Selected, false),
            );
        }
    }

    fn empty_hint(&self, ui: &Ui, area: Rect) {
        let scene = self.editor.scene();
        if !scene.parts.is_empty() || self.editor.is_holding() {
            return;
        }
        let palette = self.palette();
        let galley = ui.painter().layout(
            "The enclosure is empty. Drag a part from the shelf onto a view: zones that take it will show themselves.".to_owned(),
            egui::FontId::new(13.0, theme::family(false)),
            theme::role_colour(&palette, Role::Text, false),
            area.width().min(420.0),
        );
        let rect = Rect::from_center_size(area.center(), galley.size() + Vec2::splat(24.0));
        let paper = theme::role_colour(&palette, Role::Paper, false);
        let ink = theme::role_colour(&palette, Role::Ruler, false);
        ui.painter().rect(
            rect,
            3,
            paper,
            egui::Stroke::new(1.0, ink),
            egui::StrokeKind::Inside,
        );
        ui.painter()
            .galley(rect.min + Vec2::splat(12.0), galley, ink);
    }
}

/// The pane without rulers and cut strip.
fn drawing_area(outer: Rect) -> Rect {
    Rect::from_min_max(
        outer.min + Vec2::splat(RULER),
        outer.max - Vec2::new(CUT, 0.0),
    )
}

/// Millimetres from label to label and from tick to tick at a scale.
fn steps(points_per_mm: f32) -> (f32, f32) {
    for (label, tick) in [
        (1.0, 0.5),
        (5.0, 1.0),
        (10.0, 5.0),
        (50.0, 10.0),
        (100.0, 50.0),
        (500.0, 100.0),
        (1000.0, 500.0),
    ] {
        if label * points_per_mm >= 40.0 {
            return (label, tick);
        }
    }
    (5000.0, 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn depth_views_share_their_left_and_right_edges() {
        let area = Rect::from_min_size(Pos2::ZERO, Vec2::new(800.0, 600.0));
        for front in [false, true] {
            let panes = layout(area, Vec3::mm(200, 400, 300), front);
            let (top, side) = (panes[0].1, panes[1].1);
            assert_eq!((top.left(), top.right()), (side.left(), side.right()));
            assert!(panes.iter().all(|p| area.contains_rect(p.1)));
        }
    }

    #[test]
    fn ruler_labels_never_crowd() {
        for scale in [0.02_f32, 0.1, 0.5, 1.0, 3.0, 12.0, 60.0] {
            let (label, tick) = steps(scale);
            assert!(label * scale >= 40.0 || label == 5000.0, "{scale}");
            assert!(tick <= label);
        }
    }
}
