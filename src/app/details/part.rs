//! Details of one part: place, turn, how it is held, ports, figures.

use super::{Action, App, length_field, row};
use crate::edit::Edit;
use crate::geom::{Axis, Length};
use crate::model::{Cable, PartId, PortRef, Role};
use eframe::egui::{self, Grid, Ui};
use std::collections::BTreeSet;

impl App {
    pub(super) fn part_details(&mut self, ui: &mut Ui, id: &PartId) {
        let Some(part) = self.editor.scene().parts.get(id).cloned() else {
            return;
        };
        let place = self.editor.scene().arrangement().places.get(id).copied();
        let mut name = part.name.clone();
        let label = ui.weak("Name");
        let field = ui
            .add(egui::TextEdit::singleline(&mut name).desired_width(f32::INFINITY))
            .labelled_by(label.id)
            .on_hover_text("What the legend and the lists call this part.");
        if field.changed() {
            _ = self
                .editor
                .apply("rename", &[Edit::Rename(id.clone(), name)]);
        }
        ui.add_space(4.0);
        Grid::new("part-facts")
            .num_columns(2)
            .spacing([8.0, 4.0])
            .show(ui, |ui| {
                if part.name != part.kind.name {
                    row(ui, "Kind", part.kind.name.as_str());
                }
                row(ui, "Group", part.kind.group.words());
                row(ui, "Outer size", format!("{} mm", part.kind.size_text()));
                if let Some(pull) = part.kind.pulls {
                    let way = place.map_or(pull.way, |p| p.turn.dir(pull.way));
                    let text = format!("to the {} by {} mm", way.words(), pull.by);
                    row(ui, "Comes out", text);
                }
            });
        ui.add_space(8.0);
        match place {
            Some(place) => {
                ui.strong("Place");
                ui.weak("Lower front left corner of its turned outline");
                let mut change = None;
                Grid::new("part-place")
                    .num_columns(2)
                    .spacing([8.0, 4.0])
                    .show(ui, |ui| {
                        for (axis, text, tip) in [
                            (
                                Axis::X,
                                "x, to the right",
                                "From the enclosure's left outer face.",
                            ),
                            (
                                Axis::Y,
                                "y, to the back",
                                "From the enclosure's front outer face.",
                            ),
                            (Axis::Z, "z, up", "From the enclosure's lower outer face."),
                        ] {
                            let at = place.at.along(axis);
                            ui.add_enabled_ui(!place.locked, |ui| {
                                ui.horizontal(|ui| {
                                    let new = length_field(ui, text, at, (-5000.0, 5000.0), tip);
                                    change = change.or(new.map(|v| (axis, v)));
                                });
                            });
                            ui.end_row();
                        }
                    });
                if let Some((axis, value)) = change {
                    self.editor.set_coordinate(id, axis, value);
                }
                ui.horizontal(|ui| {
                    ui.weak("Turn about");
                    for (a, axis) in [
                        (Action::TurnX, "x"),
                        (Action::TurnY, "y"),
                        (Action::TurnZ, "z"),
                    ] {
                        let tip = super::super::menu::tip(ui.ctx(), a);
                        let button = egui::Button::new(axis).min_size(egui::vec2(28.0, 0.0));
                        let r = ui.add_enabled(a.enabled(self), button);
                        r.widget_info(|| {
                            egui::WidgetInfo::labeled(egui::Role::Button, true, a.text())
                        });
                        if r.on_hover_text(tip).clicked() {
                            a.run(self);
                        }
                    }
                });
                ui.horizontal_wrapped(|ui| {
                    for a in [
                        Action::Lock,
                        Action::Hide,
                        Action::Duplicate,
                        Action::Delete,
                    ] {
                        self.button(ui, a);
                    }
                });
                if place.locked {
                    ui.weak("Locked: it cannot be moved or removed.");
                }
                if place.hidden {
                    ui.weak("Hidden: not drawn, still checked.");
                }
                self.hold_details(ui, id);
                self.side_details(ui, id);
            }
            None => {
                ui.label("It lies beside the enclosure and is not checked.");
                if ui
                    .button("Put into the enclosure")
                    .on_hover_text(
                        "Places it at the lower front left corner, from where it can be dragged.",
                    )
                    .clicked()
                {
                    let place = crate::model::Place::at(crate::geom::Vec3::ZERO);
                    _ = self
                        .editor
                        .apply("place", &[Edit::SetPlace(id.clone(), Some(place))]);
                }
            }
        }
        self.swap_details(ui, id);
        self.ports_details(ui, id);
        self.measured_of_part(ui, id);
        self.figures_details(ui, &part.kind);
    }

    fn hold_details(&mut self, ui: &mut Ui, id: &PartId) {
        ui.add_space(8.0);
        ui.strong("Held by");
        let holds = self.editor.checker().placed().holds(id);
        if holds.is_empty() {
            ui.label("Nothing: no hole of it meets a hole of a zone.");
        }
        for hold in holds.iter().take(4) {
            let zone = self.editor.checker().placed().zone_words(&hold.zone);
            let holes = if hold.matched == 1 { "hole" } else { "holes" };
            let text = format!("{zone}: {} {holes}, {} needed", hold.matched, hold.needs);
            let pairs: Vec<String> = hold
                .pairs
                .iter()
                .map(|(a, b)| format!("{a} on {b}"))
                .collect();
            ui.label(text).on_hover_text(format!(
                "{} of its {} holes: {}",
                hold.matched,
                hold.of,
                pairs.join(", ")
            ));
        }
    }

    /// What lies next to it on each side, and how far.
    fn side_details(&mut self, ui: &mut Ui, id: &PartId) {
        let revision = self.editor.revision();
        let fresh = |(r, part, _): &&super::super::sheet::Sides| *r == revision && part == id;
        if self.sheet.sides.as_ref().filter(fresh).is_none() {
            let placed = self.editor.checker().placed();
            let mut moving: BTreeSet<PartId> = placed.carried(id).into_iter().collect();
            moving.insert(id.clone());
            let sides = placed.sides_together(&moving);
            self.sheet.sides = Some((revision, id.clone(), sides));
        }
        let Some((_, _, sides)) = &self.sheet.sides else {
            return;
        };
        let placed = self.editor.checker().placed();
        ui.add_space(8.0);
        ui.strong("Room on each side").on_hover_text(
            "How far it and what it carries could go straight that way until solids touch.",
        );
        Grid::new("part-sides")
            .num_columns(3)
            .spacing([8.0, 2.0])
            .show(ui, |ui| {
                for (dir, side) in crate::geom::Dir::ALL.into_iter().zip(sides) {
                    ui.weak(dir.words());
                    match side {
                        Some(s) => {
                            ui.with_layout(
                                egui::Layout::right_to_left(egui::Align::Center),
                                |ui| {
                                    ui.label(format!("{} mm", s.distance.text2()));
                                },
                            );
                            let name = placed.thing_words(&s.to_what);
                            ui.add(egui::Label::new(&name).truncate())
                                .on_hover_text(&name);
                        }
                        None => {
                            ui.label("open");
                            ui.weak("nothing in the way");
                        }
                    }
                    ui.end_row();
                }
            });
    }

    fn ports_details(&mut self, ui: &mut Ui, id: &PartId) {
        let Some(part) = self.editor.scene().parts.get(id).cloned() else {
            return;
        };
        if part.kind.ports.is_empty() {
            return;
        }
        ui.add_space(8.0);
        ui.strong("Ports");
        let mut select = None;
        for port in &part.kind.ports {
            let at = PortRef {
                part: id.clone(),
                port: port.id.clone(),
            };
            let cable = self
                .editor
                .cable_at(&at)
                .map(|(id, c)| (id.clone(), c.name.clone(), self.other_end(c, &at)));
            let kind = match (&port.lead, port.role) {
                (Some(lead), _) => format!("own lead, {} mm", lead.length),
                (None, Role::Source) => "gives".to_owned(),
                (None, Role::Sink) => "takes".to_owned(),
                (None, Role::Both) => "either way".to_owned(),
            };
            ui.horizontal_wrapped(|ui| {
                ui.label(&port.name).on_hover_text(format!(
                    "{}; {kind}; leaves to {}",
                    self.connector_name(&port.connector),
                    port.leaves.words()
                ));
                match &cable {
                    Some((id, name, other)) => {
                        let link = ui.link(format!("to {other}"));
                        if link
                            .on_hover_text(format!("{name}. Shows this cable."))
                            .clicked()
                        {
                            select = Some(id.clone());
                        }
                    }
                    None if port.required => {
                        ui.label("! has to be connected");
                    }
                    None => {
                        ui.weak("free");
                    }
                }
            });
        }
        self.pins(ui, part.kind.ports.iter().map(|p| p.connector.as_str()));
        if let Some(id) = select {
            self.editor.select_cable(Some(id));
        }
        if !self.look.ports
            && ui
                .button(Action::Lead.text())
                .on_hover_text(super::super::menu::tip(ui.ctx(), Action::Lead))
                .clicked()
        {
            Action::Lead.run(self);
        }
    }

    /// Where a cable at a port goes from there, in words.
    fn other_end(&self, cable: &Cable, at: &PortRef) -> String {
        if cable.from != *at {
            return self.port_name(&cable.from);
        }
        match cable.plugs.as_slice() {
            [] => "nothing".to_owned(),
            [plug] => self.port_name(&plug.to),
            [plug, more @ ..] => format!("{} and {} more", self.port_name(&plug.to), more.len()),
        }
    }

    pub(super) fn connector_name(&self, id: &str) -> String {
        let connector = self.editor.catalogue().connectors.get(id);
        connector.map_or_else(|| id.to_owned(), |c| c.name.clone())
    }

    fn figures_details(&mut self, ui: &mut Ui, kind: &crate::model::PartKind) {
        ui.add_space(8.0);
        let r = &kind.ratings;
        let known = [
            ("Mass", r.mass_g, "g"),
            ("Draws", r.draws_w, "W"),
            ("Gives", r.gives_w, "W"),
            ("Free flow", r.flow_m3h, "m³/h"),
            ("Sound", r.sound_db, "dB"),
            ("Cost", r.cost, ""),
        ];
        if known.iter().any(|k| k.1.is_some()) {
            ui.strong("Ratings");
            Grid::new("part-ratings")
                .num_columns(2)
                .spacing([8.0, 4.0])
                .show(ui, |ui| {
                    for (name, value, unit) in known {
                        if let Some(value) = value {
                            row(ui, name, format!("{value} {unit}"));
                        }
                    }
                });
            ui.add_space(8.0);
        }
        ui.strong("Where the figures come from");
        if kind.figures.is_empty() {
            ui.label("No source is given: measure the part.");
        }
        for f in &kind.figures {
            let mark = if f.confidence.is_weak() { "! " } else { "" };
            ui.label(format!("{mark}{}: {}", f.what, f.confidence.words()))
                .on_hover_text(&f.source);
            ui.weak(&f.source);
        }
        let deepest = kind.size.x.max(kind.size.y).max(kind.size.z);
        if deepest > Length::mm(1) {
            ui.add_space(4.0);
            ui.weak("Planning figures. Measure before ordering.");
        }
    }
}
