//! One view in the window: drawing, and what lies under the pointer.

use super::painter::{self, Ready, Screen};
use super::{Action, App, theme};
use crate::editor::snap::Pointer;
use crate::editor::tool::{Target, Tool};
use crate::geom::{Length, Vec3};
use crate::model::{CableId, PartId, PortRef};
use crate::view::list::{DrawList, GridStep, Line, Owner, Path, Rect as PageRect, Role, hit};
use crate::view::{SheetInput, ViewKind, ViewOptions, differences, draw};
use eframe::egui::{self, Pos2, Rect, Sense, Ui, Vec2};

/// Points of the window for a millimetre of the page (96 points an inch).
const PPM: f32 = 96.0 / 25.4;
/// How near the pointer has to be to a place to land there, in points.
const NEAR: f32 = 14.0;
/// Parts that get a node of their own for screen readers, at most.
const NODES: usize = 400;

/// A drawn view, kept until something that it shows changes.
pub struct Pane {
    key: Key,
    list: DrawList,
    ready: Vec<Ready>,
}

#[derive(Clone, PartialEq)]
struct Key {
    view: ViewKind,
    revision: u64,
    screen: Screen,
    scale: f32,
    area: Rect,
    options: ViewOptions,
    grid: bool,
    hover: Option<Owner>,
    focus: Option<String>,
    theme: (bool, bool),
    base: Option<(usize, bool)>,
    pixels: f32,
}

impl App {
    /// Draws one view, from the last frame's shapes where nothing changed.
    pub(super) fn draw_pane(&mut self, ui: &Ui, view: ViewKind, area: Rect) {
        let outline = self.editor.scene().enclosure.outline();
        let corner = outline
            .min()
            .with(view.right().axis(), outline.face(view.right().opposite()))
            .with(view.up().axis(), outline.face(view.up()));
        let screen = Screen {
            origin: self
                .camera
                .screen(view, area, corner.as_mm().map(|v| v as f32)),
            ppm: PPM,
        };
        let key = Key {
            view,
            revision: self.editor.revision(),
            screen,
            scale: self.camera.scale,
            area,
            options: self.view_options(),
            grid: self.look.grid,
            hover: self.hover_owner(),
            focus: self.focus.clone(),
            theme: (self.look.dark, self.look.contrast),
            base: self.marked_base(),
            pixels: ui.ctx().pixels_per_point(),
        };
        let at = self.sheet.panes.iter().position(|p| p.key.view == view);
        let fresh = at.is_some_and(|i| self.sheet.panes[i].key == key);
        if !fresh {
            let list = self.view_list(view, &key);
            let palette = self.palette();
            let colours = |role, wash| theme::role_colour(&palette, role, wash);
            let clip = PageRect::spanning(
                screen.page(area.min - Vec2::splat(4.0)),
                screen.page(area.max + Vec2::splat(4.0)),
            );
            let ready = painter::ready(&list, screen, clip, &colours);
            let pane = Pane { key, list, ready };
            match at {
                Some(i) => self.sheet.panes[i] = pane,
                None => self.sheet.panes.push(pane),
            }
        }
        if let Some(pane) = self.sheet.panes.iter().find(|p| p.key.view == view) {
            painter::paint(&ui.painter().with_clip_rect(area), &pane.ready, screen);
        }
    }

    /// The base whose differences are marked, and whether its cable ways are known.
    fn marked_base(&self) -> Option<(usize, bool)> {
        let base = self.base().filter(|_| self.variants.marked)?;
        Some((base, self.variants.runs_of(base).is_some()))
    }

    fn view_options(&self) -> ViewOptions {
        ViewOptions {
            cut: self.look.cut,
            hidden_edges: self.look.hidden_edges,
            labels: self.look.labels,
            ports: self.look.ports,
            ..ViewOptions::default()
        }
    }

    fn view_list(&self, view: ViewKind, key: &Key) -> DrawList {
        let checker = self.editor.checker();
        let scene = self.editor.scene();
        let findings: Vec<_> = checker
            .findings()
            .into_iter()
            .filter(|f| checker.is_accepted(scene, f).is_none() && !self.is_hidden(f))
            .collect();
        let offers = match self.editor.tool() {
            Tool::Placing(p) => p.offers.as_slice(),
            Tool::Moving(m) => m.offers.as_slice(),
            _ => &[],
        };
        let sides = self.editor.held_sides();
        let input = SheetInput {
            scene,
            placed: checker.placed(),
            findings: &findings,
            runs: checker.runs(),
            selection: self.editor.selection().parts(),
            catalogue: Some(self.editor.catalogue()),
            chosen: self.chosen_owner(&findings),
            hover: key.hover,
            offers,
            ghost: None,
            sides: sides.as_ref().map_or(&[], |s| s.as_slice()),
            measured: self.editor.measuring().and_then(|m| m.result.as_ref()),
            options: key.options.clone(),
        };
        let mut list = DrawList::new();
        if key.grid {
            self.grid(&mut list, key);
        }
        list.append(draw(view, f64::from(self.camera.scale / PPM), &input));
        if key.base.is_some() {
            let (base, all) = self.differences();
            let runs = self.variants.runs_of(base);
            let scale = f64::from(self.camera.scale / PPM);
            list.append(differences(view, scale, scene, base, &all, runs));
        }
        list
    }

    /// True where every part that a finding is about is hidden: it stays on the list.
    fn is_hidden(&self, finding: &crate::rules::Finding) -> bool {
        let scene = self.editor.scene();
        let mut parts = finding.subjects.iter().filter_map(|s| match s {
            crate::rules::Subject::Part(id) => Some(id),
            _ => None,
        });
        let hidden = |id: &PartId| scene.placed(id).is_some_and(|(_, p)| p.hidden);
        parts.clone().next().is_some() && parts.all(hidden)
    }

    /// Grid lines of 1, 10 and 100 mm, left out where they would crowd.
    fn grid(&self, list: &mut DrawList, key: &Key) {
        let area = key.area;
        for (step, mm) in [
            (GridStep::Mm1, 1.0),
            (GridStep::Mm10, 10.0),
            (GridStep::Mm100, 100.0),
        ] {
            if mm * self.camera.scale < 5.0 {
                continue;
            }
            let a = self.camera.scene(key.view, area, area.min);
            let b = self.camera.scene(key.view, area, area.max);
            for (across, dir) in [(true, key.view.right()), (false, key.view.up())] {
                let i = dir.axis().index();
                let (low, high) = (a[i].min(b[i]), a[i].max(b[i]));
                let mut n = (low / mm).ceil() as i64;
                while n as f32 * mm <= high {
                    let mut p = self.camera.middle;
                    p[i] = n as f32 * mm;
                    let at = self.camera.screen(key.view, area, p);
                    let (from, to) = match across {
                        true => (Pos2::new(at.x, area.top()), Pos2::new(at.x, area.bottom())),
                        false => (Pos2::new(area.left(), at.y), Pos2::new(area.right(), at.y)),
                    };
                    list.pen().stroke(
                        Path::line(key.screen.page(from), key.screen.page(to)),
                        Line::HAIR,
                        Role::Grid(step),
                    );
                    n += 1;
                }
            }
        }
    }

    /// The selected cable or the chosen finding, as the draw list counts them.
    fn chosen_owner(&self, findings: &[&crate::rules::Finding]) -> Option<Owner> {
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

    fn hover_owner(&self) -> Option<Owner> {
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
        let pane = self.sheet.panes.iter().find(|p| p.key.view == view)?;
        let page = pane.key.screen.page(at);
        // Gaps are measured between solids.
        let cables = self.editor.measuring().is_none();
        hit(&pane.list, page, 0.8)
            .into_iter()
            .find(|o| matches!(o, Owner::Part(_)) || cables && matches!(o, Owner::Cable(_)))
    }

    pub(super) fn target(&self, view: ViewKind, area: Rect, at: Pos2) -> Target {
        if self.look.ports
            && let Some(port) = self.port_at(view, area, at)
        {
            return Target::Port(port);
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
            if away < 8.0 && best.as_ref().is_none_or(|(d, _)| away < *d) {
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
        response.context_menu(|ui| {
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
