//! One view in the window: drawing, and what lies under the pointer.

use super::{Action, App};
use crate::editor::snap::Pointer;
use crate::editor::tool::{Grip, Target, Tool};
use crate::geom::{Length, Vec3};
use crate::model::{CableId, PartId, PortRef};
use crate::view::list::{Owner, hit};
use crate::view::{ViewKind, ViewOptions};
use eframe::egui::{self, Pos2, Rect, Sense, Ui};

/// Points of the window for a millimetre of the page (96 points an inch).
pub(super) const PPM: f32 = 96.0 / 25.4;
/// How near the pointer has to be to a place to land there, in points.
const NEAR: f32 = 14.0;
/// Parts that get a node of their own for screen readers, at most.
const NODES: usize = 400;

impl App {
    /// The base whose differences are marked, and whether its cable ways are known.
    pub(super) fn marked_base(&self) -> Option<(usize, bool)> {
        let base = self.base().filter(|_| self.variants.marked)?;
        Some((base, self.variants.runs_of(base).is_some()))
    }

    pub(super) fn view_options(&self) -> ViewOptions {
        ViewOptions {
            cut: self.look.cut,
            hidden_edges: self.look.hidden_edges,
            labels: self.look.labels,
            ports: self.look.ports,
            ..ViewOptions::default()
        }
    }

    /// True where every part that a finding is about is hidden: it stays on the list.
    pub(super) fn is_hidden(&self, finding: &crate::rules::Finding) -> bool {
        let scene = self.editor.scene();
        let mut parts = finding.subjects.iter().filter_map(|s| match s {
            crate::rules::Subject::Part(id) => Some(id),
            _ => None,
        });
        let hidden = |id: &PartId| scene.placed(id).is_some_and(|(_, p)| p.hidden);
        parts.clone().next().is_some() && parts.all(hidden)
    }

    /// The selected cable or the chosen finding, as the draw list counts them.
    pub(super) fn chosen_owner(&self, findings: &[&crate::rules::Finding]) -> Option<Owner> {
        let index = |i: usize| u32::try_from(i).ok();
        if let Some(cable) = self.editor.selection().cable() {
            let at = self
                .editor
                .checker()
                .runs()
                .keys()
                .position(|id| id == cable);
            return at.and_then(index).map(Owner::Cable);
        }
        let focus = self.focus.as_deref()?;
        let at = findings.iter().position(|f| f.key_str() == focus);
        at.and_then(index).map(Owner::Finding)
    }

    pub(super) fn hover_owner(&self) -> Option<Owner> {
        match self.editor.tool() {
            Tool::Idle => self.sheet.hover,
            _ => None,
        }
    }

    /// The scene point under a window point; zero along the view's depth.
    pub(super) fn scene_point(&self, view: ViewKind, area: Rect, at: Pos2) -> Vec3 {
        let mm = self.camera.scene(view, area, at);
        let length = |v: f32| {
            let bounded = f64::from(v).clamp(-50_000.0, 50_000.0);
            Length::from_mm(bounded).unwrap_or(Length::ZERO)
        };
        Vec3::new(length(mm[0]), length(mm[1]), length(mm[2])).with(view.eye().axis(), Length::ZERO)
    }

    pub(super) fn pointer(&self, view: ViewKind, area: Rect, at: Pos2) -> Pointer {
        let near = f64::from(NEAR / self.camera.scale);
        Pointer {
            view,
            at: self.scene_point(view, area, at),
            near: Length::from_mm(near).unwrap_or(Length::mm(10)),
        }
    }

    /// The id of the part with an index of the draw list.
    pub(super) fn part_of(&self, index: u32) -> Option<PartId> {
        let mut parts = self.editor.checker().placed().parts();
        parts.find(|p| p.index == index).map(|p| p.id.clone())
    }

    fn cable_of(&self, index: u32) -> Option<CableId> {
        let runs = self.editor.checker().runs();
        runs.keys().nth(index as usize).cloned()
    }

    /// The part or cable that is drawn topmost under a window point.
    pub(super) fn owner_at(&self, view: ViewKind, at: Pos2) -> Option<Owner> {
        let pane = self.sheet.panes.iter().find(|p| p.view() == view)?;
        let page = pane.screen().page(at);
        // Gaps are measured between solids.
        let cables = self.editor.measuring().is_none();
        hit(pane.list(), page, 0.8)
            .into_iter()
            .find(|o| matches!(o, Owner::Part(_)) || cables && matches!(o, Owner::Cable(_)))
    }

    pub(super) fn target(&self, view: ViewKind, area: Rect, at: Pos2) -> Target {
        if self.look.ports
            && let Some(port) = self.port_at(view, area, at)
        {
            return Target::Port(port);
        }
        if self.editor.measuring().is_none()
            && let Some(grip) = self.grip_at(view, area, at)
        {
            return Target::Grip(grip);
        }
        match self.owner_at(view, at) {
            Some(Owner::Part(i)) => self.part_of(i).map_or(Target::Sheet, Target::Part),
            Some(Owner::Cable(i)) => self.cable_of(i).map_or(Target::Sheet, Target::Cable),
            _ => Target::Sheet,
        }
    }

    /// The nearest shown port within reach of the pointer.
    fn port_at(&self, view: ViewKind, area: Rect, at: Pos2) -> Option<PortRef> {
        let mut best: Option<(f32, PortRef)> = None;
        for (port, pos) in self.ports(view, area) {
            let away = (pos - at).length();
            if away < NEAR && best.as_ref().is_none_or(|(d, _)| away < *d) {
                best = Some((away, port));
            }
        }
        best.map(|(_, port)| port)
    }

    /// All ports of shown parts with their window points.
    pub(super) fn ports(&self, view: ViewKind, area: Rect) -> Vec<(PortRef, Pos2)> {
        let scene = self.editor.scene();
        let mut all = Vec::new();
        for (id, part) in &scene.parts {
            let Some((_, place)) = scene.placed(id).filter(|(_, p)| !p.hidden) else {
                continue;
            };
            for port in &part.kind.ports {
                let at = place.point(&part.kind, port.at).as_mm().map(|v| v as f32);
                let pos = self.camera.screen(view, area, at);
                if area.contains(pos) {
                    let port = PortRef {
                        part: id.clone(),
                        port: port.id.clone(),
                    };
                    all.push((port, pos));
                }
            }
        }
        all
    }

    pub(super) fn context_menu(&mut self, response: &egui::Response, view: ViewKind, area: Rect) {
        if response.secondary_clicked()
            && let Some(at) = response.interact_pointer_pos()
            && let Target::Part(id) = self.target(view, area, at)
            && !self.editor.selection().has(&id)
        {
            self.editor.select([id]);
        }
        if response.secondary_clicked()
            && let Some(at) = response.interact_pointer_pos()
            && let Some(Grip::Corner(corner)) = self.grip_at(view, area, at)
        {
            self.editor.choose_corner(corner);
        }
        response.context_menu(|ui| {
            self.corner_entries(ui);
            if let Some(id) = self.editor.selection().only().cloned() {
                ui.menu_button("Swap for", |ui| {
                    let area = egui::ScrollArea::vertical().max_height(320.0);
                    area.show(ui, |ui| self.swap_entries(ui, &id));
                });
                ui.separator();
            }
            for action in [
                Action::TurnX,
                Action::TurnY,
                Action::TurnZ,
                Action::Duplicate,
                Action::Lock,
                Action::Hide,
                Action::Delete,
                Action::SelectAll,
                Action::Fit,
            ] {
                let button = egui::Button::new(action.text());
                let response = ui.add_enabled(action.enabled(self), button);
                if response.on_hover_text(action.tip()).clicked() {
                    action.run(self);
                    ui.close();
                }
            }
        });
    }

    /// Nodes for screen readers and tests: one for each shown part in each view.
    pub(super) fn part_nodes(&self, ui: &Ui, view: ViewKind, area: Rect) {
        let scene = self.editor.scene();
        if scene.parts.len() > NODES {
            return;
        }
        for (id, part) in &scene.parts {
            let Some((_, place)) = scene.placed(id).filter(|(_, p)| !p.hidden) else {
                continue;
            };
            let o = place.outline(&part.kind);
            let corner = |p: Vec3| self.camera.screen(view, area, p.as_mm().map(|v| v as f32));
            let rect = Rect::from_two_pos(corner(o.min()), corner(o.max())).intersect(area);
            if !rect.is_positive() {
                continue;
            }
            let response = ui.interact(
                rect,
                ui.scope_id().with(("part", view, id.as_str())),
                Sense::hover(),
            );
            let selected = self.editor.selection().has(id);
            let text = format!("{}, {}", part.name, view.name());
            response.widget_info(|| {
                egui::WidgetInfo::selected(egui::Role::Image, true, selected, &text)
            });
            let value = format!("x {} y {} z {}", o.min().x, o.min().y, o.min().z);
            ui.ctx()
                .accesskit_node_builder(response.id, |n| n.set_value(value));
        }
    }
}
