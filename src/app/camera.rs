//! Zoom and pan of the sheet: one scale and one depth axis for all views.

use crate::geom::Vec3;
use crate::view::ViewKind;
use eframe::egui::{Pos2, Rect, Vec2};

/// Smallest and largest scale in points per millimetre.
const RANGE: (f32, f32) = (0.02, 60.0);

/// What the views show. Middles are scene millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    /// Points per scene millimetre.
    pub scale: f32,
    /// The point in the middle of the views.
    pub middle: [f32; 3],
    /// True until the user zooms or pans: keeps fitting when the window changes.
    fitting: bool,
}

impl Default for Camera {
    fn default() -> Camera {
        Camera {
            scale: 1.0,
            middle: [0.0; 3],
            fitting: true,
        }
    }
}

impl Camera {
    /// Fits again at the next frame.
    pub fn fit(&mut self) {
        self.fitting = true;
    }

    /// Fits an enclosure of the given size (millimetres) into the panes.
    pub fn settle(&mut self, size: Vec3, panes: &[(ViewKind, Rect)]) {
        if !self.fitting || panes.is_empty() {
            return;
        }
        let size = size.as_mm().map(|v| v as f32);
        self.middle = size.map(|v| v / 2.0);
        let scale = panes.iter().map(|(view, pane)| {
            let (w, h) = (
                size[view.right().axis().index()],
                size[view.up().axis().index()],
            );
            ((pane.width() - 64.0) / w).min((pane.height() - 56.0) / h)
        });
        self.scale = scale.fold(f32::INFINITY, f32::min).clamp(RANGE.0, RANGE.1);
    }

    /// Scales by a factor; `about` (pane, point) stays where it is.
    pub fn zoom(&mut self, factor: f32, about: Option<(ViewKind, Rect, Pos2)>) {
        self.fitting = false;
        let scale = (self.scale * factor).clamp(RANGE.0, RANGE.1);
        if let Some((view, pane, at)) = about {
            let before = self.scene(view, pane, at);
            self.scale = scale;
            let after = self.scene(view, pane, at);
            for axis in [view.right().axis().index(), view.up().axis().index()] {
                self.middle[axis] += before[axis] - after[axis];
            }
        }
        self.scale = scale;
    }

    /// Moves the sheet under the view by points.
    pub fn pan(&mut self, view: ViewKind, by: Vec2) {
        self.fitting = false;
        let (right, up) = (view.right(), view.up());
        self.middle[right.axis().index()] -= by.x / self.scale * right.sign() as f32;
        self.middle[up.axis().index()] += by.y / self.scale * up.sign() as f32;
    }

    /// Brings a point of the scene into the middle, and nearer where it would be tiny.
    pub fn go_to(&mut self, at: Vec3, extent_mm: f64) {
        self.fitting = false;
        self.middle = at.as_mm().map(|v| v as f32);
        let want = 120.0 / (extent_mm as f32).max(10.0);
        self.scale = self.scale.max(want.min(3.0)).clamp(RANGE.0, RANGE.1);
    }

    /// The window's point of a scene point in millimetres.
    pub fn screen(&self, view: ViewKind, pane: Rect, p: [f32; 3]) -> Pos2 {
        let along = |d: crate::geom::Dir| {
            let i = d.axis().index();
            (p[i] - self.middle[i]) * d.sign() as f32 * self.scale
        };
        pane.center() + Vec2::new(along(view.right()), -along(view.up()))
    }

    /// The scene point under a window point; the coordinate along the view's depth
    /// is the middle's.
    pub fn scene(&self, view: ViewKind, pane: Rect, at: Pos2) -> [f32; 3] {
        let d = (at - pane.center()) / self.scale;
        let mut p = self.middle;
        p[view.right().axis().index()] += d.x * view.right().sign() as f32;
        p[view.up().axis().index()] -= d.y * view.up().sign() as f32;
        p
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pane() -> Rect {
        Rect::from_min_size(Pos2::new(10.0, 20.0), Vec2::new(400.0, 300.0))
    }

    #[test]
    fn the_place_under_the_pointer_stays_while_zooming() {
        let mut camera = Camera::default();
        camera.settle(Vec3::mm(200, 300, 100), &[(ViewKind::Top, pane())]);
        let at = Pos2::new(77.0, 99.0);
        let before = camera.scene(ViewKind::Top, pane(), at);
        camera.zoom(3.0, Some((ViewKind::Top, pane(), at)));
        let after = camera.scene(ViewKind::Top, pane(), at);
        assert!((before[0] - after[0]).abs() < 1e-3 && (before[1] - after[1]).abs() < 1e-3);
    }

    #[test]
    fn both_depth_views_share_their_columns() {
        let camera = Camera::default();
        let p = [12.0, 34.0, 56.0];
        let top = camera.screen(ViewKind::Top, pane(), p);
        let side = camera.screen(ViewKind::Side, pane(), p);
        assert_eq!(top.x, side.x);
    }

    #[test]
    fn panning_and_screen_are_inverse() {
        let mut camera = Camera::default();
        let p = [1.0, 2.0, 3.0];
        for view in ViewKind::ALL {
            let a = camera.screen(view, pane(), p);
            camera.pan(view, Vec2::new(15.0, -7.0));
            let b = camera.screen(view, pane(), p);
            assert!((b - a - Vec2::new(15.0, -7.0)).length() < 1e-3, "{view:?}");
        }
    }

    #[test]
    fn the_scale_stays_in_range() {
        let mut camera = Camera::default();
        camera.zoom(1e9, None);
        assert!(camera.scale <= RANGE.1);
        camera.zoom(0.0, None);
        assert!(camera.scale >= RANGE.0);
    }
}
