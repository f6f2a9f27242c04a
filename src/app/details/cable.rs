//! Details of one cable: ends, length, needed and available, the way it takes.

use super::{Action, App, length_field, row};
use crate::geom::Length;
use crate::model::{Cable, CableId, PortRef, Section, Via};
use eframe::egui::{self, Grid, Ui};

impl App {
    pub(super) fn cable_details(&mut self, ui: &mut Ui, id: &CableId) {
        let Some(cable) = self.editor.scene().arrangement().cables.get(id).cloned() else {
            return;
        };
        ui.strong(&cable.name);
        ui.add_space(4.0);
        Grid::new("cable-facts")
            .num_columns(2)
            .spacing([8.0, 4.0])
            .show(ui, |ui| {
                row(ui, "From", self.port_name(&cable.from));
                row(ui, "System", cable.system.words());
                let section = match cable.section {
                    Section::Round(d) => format!("Ø {d} mm"),
                    Section::Flat(w, t) => format!("flat, {w} x {t} mm"),
                };
                row(ui, "Section", section);
                row(ui, "Bend radius", format!("at least {} mm", cable.bend));
            });
        let mut locked = cable.locked;
        if ui
            .checkbox(&mut locked, "locked")
            .on_hover_text("Stays as it is when leads are given out anew.")
            .clicked()
        {
            let label = if locked { "lock cable" } else { "unlock cable" };
            self.editor.change_cable(id, label, |c| c.locked = locked);
        }
        self.way_ui(ui, id, &cable);
        let kind = cable.kind.as_ref();
        let lengths: Vec<Length> = kind
            .and_then(|k| self.editor.catalogue().cables.get(k))
            .map(|k| k.lengths.clone())
            .unwrap_or_default();
        for (i, plug) in cable.plugs.iter().enumerate() {
            ui.add_space(8.0);
            ui.strong(format!("To {}", self.port_name(&plug.to)));
            self.stretch_figures(ui, id, i);
            self.alternatives_ui(ui, id, Some(i));
            match kind {
                None => {
                    ui.label(format!(
                        "Length {} mm: the lead belongs to its part.",
                        plug.length
                    ));
                }
                Some(_) => {
                    let new = ui.horizontal(|ui| {
                        length_field(
                            ui,
                            "Length",
                            plug.length,
                            (1.0, 5000.0),
                            "From plug to plug, as bought or cut.",
                        )
                    });
                    if let Some(length) = new.inner {
                        self.editor.set_length(id, i, length);
                    }
                }
            }
            if i + 1 == cable.plugs.len() {
                self.extension_ui(ui, id, &cable);
            }
            if !lengths.is_empty() {
                ui.horizontal_wrapped(|ui| {
                    ui.weak("At hand:");
                    for length in &lengths {
                        let on = *length == plug.length;
                        let r = ui.selectable_label(on, length.to_string());
                        if r.on_hover_text("Takes this length of the catalogue.")
                            .clicked()
                            && !on
                        {
                            self.editor.set_length(id, i, *length);
                        }
                    }
                });
            }
            self.ways(ui, id, i, &plug.via);
        }
        self.leads_ui(ui, id);
        let connectors: Vec<String> = cable
            .plugs
            .iter()
            .filter_map(|p| self.editor.port(&p.to))
            .map(|p| p.connector.clone())
            .collect();
        self.pins(ui, connectors.iter().map(String::as_str));
        ui.add_space(8.0);
        self.button(ui, Action::Delete);
    }

    /// The port in words: `front fan: fan lead`.
    pub(in crate::app) fn port_name(&self, port: &PortRef) -> String {
        match self.editor.scene().parts.get(&port.part) {
            Some(part) => {
                let name = part.kind.port(&port.port).map_or("?", |p| p.name.as_str());
                format!("{}: {name}", part.name)
            }
            None => port.to_string(),
        }
    }

    /// The extension at its end, and how to take it off.
    fn extension_ui(&mut self, ui: &mut Ui, id: &CableId, cable: &Cable) {
        let Some(more) = &cable.extension else { return };
        let kind = self.editor.catalogue().cables.get(&more.kind);
        let name = kind
            .map_or(more.kind.as_str(), |k| k.name.as_str())
            .to_owned();
        ui.horizontal_wrapped(|ui| {
            ui.label(format!("With '{name}' of {} mm.", more.length));
            let off = ui.small_button("Take off");
            if off
                .on_hover_text("Plugs the lead in without the extension.")
                .clicked()
            {
                self.editor
                    .change_cable(id, "take extension off", |c| c.extension = None);
            }
        });
    }

    fn stretch_figures(&self, ui: &mut Ui, id: &CableId, index: usize) {
        let Some(run) = self.editor.checker().runs().get(id) else {
            ui.label("Not led: one of its ends lies beside the enclosure.");
            return;
        };
        let Some(stretch) = run.stretches.get(index) else {
            return;
        };
        if let Err(why) = &stretch.judged {
            ui.label(format!("! Not judged: {why}."));
            return;
        }
        let left = stretch.available - stretch.needed;
        let text = match left < Length::ZERO {
            true => format!("short by {} mm", (-left).text1()),
            false => format!("{} mm spare", left.text1()),
        };
        ui.label(format!(
            "Needs {} mm, has {} mm: {text}",
            stretch.needed.text1(),
            stretch.available.text1()
        ));
        bar(ui, stretch.needed, stretch.available);
    }

    fn ways(&mut self, ui: &mut Ui, id: &CableId, stretch: usize, via: &[Via]) {
        ui.weak("Led along");
        if via.is_empty() {
            ui.label("nothing: straight from plug to plug");
        }
        let mut raise = None;
        let mut drop = None;
        let mut pin = None;
        for (i, v) in via.iter().enumerate() {
            // The buttons first, from the right: a long name is cut, the panel stays as it is.
            let row = egui::Layout::right_to_left(egui::Align::Center);
            ui.allocate_ui_with_layout(egui::vec2(ui.available_width(), 20.0), row, |ui| {
                let off = ui.add(egui::Button::new("×").small());
                if off.on_hover_text("Takes it off the way.").clicked() {
                    drop = Some(i);
                }
                let up = ui.add_enabled(i > 0, egui::Button::new("↑").small());
                if up
                    .on_hover_text("Visits it before the one above.")
                    .clicked()
                {
                    raise = Some(i);
                }
                if matches!(v, Via::Chosen(_)) {
                    let pinned = ui.add(egui::Button::new("pin").small());
                    let tip =
                        "The program chose this tie; pinned, it stays when a way is found anew.";
                    if pinned.on_hover_text(tip).clicked() {
                        pin = Some(i);
                    }
                }
                let name = format!("{}. {}", i + 1, self.via_name(v));
                ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                    let r = ui.add(egui::Label::new(name).truncate());
                    if r.hovered() {
                        self.sheet.lit = self.via_place(v);
                    }
                });
            });
        }
        if let Some(i) = pin {
            self.editor.change_cable(id, "pin tie", |c| {
                let via = c.plugs.get_mut(stretch).and_then(|p| p.via.get_mut(i));
                if let Some(via) = via
                    && let Via::Chosen(tie) = via.clone()
                {
                    *via = Via::Tie(tie);
                }
            });
        }
        if let Some(i) = raise {
            self.editor.raise_via(id, stretch, i);
        }
        if let Some(i) = drop {
            self.editor.remove_via(id, stretch, i);
        }
        let enclosure = self.editor.scene().enclosure.clone();
        if enclosure.passages.is_empty() && enclosure.ties.is_empty() {
            ui.weak("This enclosure has no passages or tie points.");
            return;
        }
        let mut add = None;
        let mut lit = None;
        ui.menu_button("Lead along…", |ui| {
            egui::ScrollArea::vertical()
                .max_height(280.0)
                .show(ui, |ui| {
                    for p in &enclosure.passages {
                        let text = format!("passage: {}", p.name);
                        let r = ui.button(text);
                        if r.hovered() {
                            lit = Some(p.frame.origin);
                        }
                        let tip = format!("{} x {} mm clear", p.clear[0], p.clear[1]);
                        if r.on_hover_text(tip).clicked() {
                            add = Some(Via::Passage(p.id.clone()));
                            ui.close();
                        }
                    }
                    for t in &enclosure.ties {
                        let r = ui.button(format!("tie: {}", t.id));
                        if r.hovered() {
                            lit = Some(t.at);
                        }
                        let tip = format!("at x {}, y {}, z {} mm", t.at.x, t.at.y, t.at.z);
                        if r.on_hover_text(tip).clicked() {
                            add = Some(Via::Tie(t.id.clone()));
                            ui.close();
                        }
                    }
                });
        })
        .response
        .on_hover_text("Adds a passage or a tie point at the end of the way.");
        self.sheet.lit = lit.or(self.sheet.lit);
        if let Some(via) = add {
            self.editor.add_via(id, stretch, via);
        }
    }

    fn via_place(&self, via: &Via) -> Option<crate::geom::Vec3> {
        let enclosure = &self.editor.scene().enclosure;
        match via {
            Via::Passage(id) => enclosure.passage(id).map(|p| p.frame.origin),
            Via::Tie(id) | Via::Chosen(id) => enclosure.tie(id).map(|t| t.at),
            Via::Point(p) | Via::Corner(p) => Some(*p),
        }
    }

    fn via_name(&self, via: &Via) -> String {
        match via {
            Via::Passage(id) => {
                let p = self
                    .editor
                    .scene()
                    .enclosure
                    .passage(id)
                    .map(|p| p.name.clone());
                p.unwrap_or_else(|| format!("passage {id} (missing)"))
            }
            Via::Tie(id) => format!("tie {id}"),
            Via::Chosen(id) => format!("tie {id}, chosen"),
            Via::Point(p) => format!("point {}", tenths(*p)),
            Via::Corner(p) => format!("corner {}", tenths(*p)),
        }
    }
}

/// A point in tenths of millimetres: short enough for a row.
fn tenths(p: crate::geom::Vec3) -> String {
    let text = |l: Length| l.text1().trim_end_matches(".0").to_owned();
    format!("{}, {}, {}", text(p.x), text(p.y), text(p.z))
}

/// Needed against available as a bar: the longer one fills it; the tick is the
/// shorter one.
pub(in crate::app) fn bar(ui: &mut Ui, needed: Length, available: Length) {
    let width = ui.available_width().min(220.0);
    let (rect, response) = ui.allocate_exact_size(egui::vec2(width, 8.0), egui::Sense::hover());
    let most = needed.max(available).as_mm().max(1.0);
    let x = |l: Length| rect.left() + rect.width() * (l.as_mm() / most) as f32;
    let visuals = ui.visuals();
    let ink = visuals.text_color();
    let have = egui::Rect::from_x_y_ranges(rect.left()..=x(available), rect.y_range());
    ui.painter().rect_filled(have, 0, ink.gamma_multiply(0.3));
    if needed > available {
        let gap = egui::Rect::from_x_y_ranges(x(available)..=x(needed), rect.y_range());
        ui.painter().rect_stroke(
            gap,
            0,
            egui::Stroke::new(1.0, visuals.error_fg_color),
            egui::StrokeKind::Inside,
        );
        let step = 4.0;
        let mut at = gap.left();
        while at < gap.right() {
            let to = (at + rect.height()).min(gap.right());
            ui.painter().line_segment(
                [
                    egui::pos2(at, gap.bottom()),
                    egui::pos2(to, gap.bottom() - (to - at)),
                ],
                egui::Stroke::new(1.0, visuals.error_fg_color),
            );
            at += step;
        }
    } else {
        ui.painter()
            .vline(x(needed), rect.y_range(), egui::Stroke::new(2.0, ink));
    }
    response
        .on_hover_text("Filled: length at hand. Tick: length needed. Hatched: what is missing.");
}
