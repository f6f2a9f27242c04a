//! The panel below: findings with needed and available figures, and the cables.

use super::{Action, App};
use crate::geom::Length;
use crate::model::CableId;
use crate::rules::{Finding, Severity};
use eframe::egui::{self, RichText, Ui};

/// Which list is open.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Tab {
    /// Findings.
    #[default]
    Findings,
    /// Cables and hoses.
    Cables,
    /// Arrangements with pictures and differences.
    Arrangements,
    /// The figures of all arrangements side by side.
    Comparison,
    /// The search for arrangements.
    Search,
}

/// Rows shown at most; a scene with more names the number.
const MOST: usize = crate::view::MOST_MARKED;

impl App {
    /// Draws the findings and cables.
    pub(super) fn findings_ui(&mut self, ui: &mut Ui) {
        let (stops, cautions, remarks) = self.counts();
        ui.horizontal(|ui| {
            let open = stops + cautions + remarks;
            ui.selectable_value(
                &mut self.look.tab,
                Tab::Findings,
                format!("Findings ({open})"),
            )
            .on_hover_text("What does not go, is tight, or could not be judged.");
            let cables = self.editor.scene().arrangement().cables.len();
            ui.selectable_value(
                &mut self.look.tab,
                Tab::Cables,
                format!("Cables ({cables})"),
            )
            .on_hover_text("Length needed and at hand of every cable and hose.");
            let arrangements = self.editor.scene().arrangements.len();
            ui.selectable_value(
                &mut self.look.tab,
                Tab::Arrangements,
                format!("Arrangements ({arrangements})"),
            )
            .on_hover_text("All arrangements of the scene as small pictures, and what differs.");
            ui.selectable_value(&mut self.look.tab, Tab::Comparison, "Comparison")
                .on_hover_text("Figures of all arrangements side by side.");
            ui.selectable_value(&mut self.look.tab, Tab::Search, "Search")
                .on_hover_text("Lets the program look for better arrangements.");
            if matches!(self.look.tab, Tab::Findings | Tab::Cables) {
                ui.separator();
                let accepted = match self.accepted_count() {
                    0 => String::new(),
                    n => format!(", {n} accepted"),
                };
                ui.label(format!(
                    "{stops} stop, {cautions} caution, {remarks} remark{accepted}"
                ));
            }
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                self.fold_button(ui, Action::Findings);
                match self.look.tab {
                    Tab::Arrangements => {
                        for action in [Action::RemoveArrangement, Action::RenameArrangement] {
                            self.button(ui, action);
                        }
                    }
                    Tab::Comparison => self.table_button(ui),
                    Tab::Cables => self.button(ui, Action::Plug),
                    Tab::Findings | Tab::Search => {}
                }
                if self.look.tab == Tab::Findings {
                    ui.checkbox(&mut self.look.accepted, "accepted too")
                        .on_hover_text(
                            "Lists the findings that were accepted, with their reasons.",
                        );
                }
            });
        });
        ui.separator();
        match self.look.tab {
            Tab::Arrangements => return self.cards_ui(ui),
            Tab::Comparison => return self.table_ui(ui),
            Tab::Search => return self.search_ui(ui),
            Tab::Findings | Tab::Cables => {}
        }
        egui::ScrollArea::vertical()
            .auto_shrink([false, false])
            .show(ui, |ui| match self.look.tab {
                Tab::Cables => self.cable_rows(ui),
                _ => self.finding_rows(ui),
            });
    }

    /// Open findings by severity.
    pub(super) fn counts(&self) -> (usize, usize, usize) {
        let scene = self.editor.scene();
        let checker = self.editor.checker();
        let mut n = [0; 3];
        for f in checker.findings() {
            if checker.is_accepted(scene, f).is_none() {
                n[f.severity as usize] += 1;
            }
        }
        (n[0], n[1], n[2])
    }

    /// How many findings are accepted as they are.
    fn accepted_count(&self) -> usize {
        let checker = self.editor.checker();
        let scene = self.editor.scene();
        let found = checker.findings().into_iter();
        found
            .filter(|f| checker.is_accepted(scene, f).is_some())
            .count()
    }

    fn finding_rows(&mut self, ui: &mut Ui) {
        let scene = self.editor.scene();
        let checker = self.editor.checker();
        let rows: Vec<(Finding, Option<String>)> = checker
            .findings()
            .into_iter()
            .map(|f| (f, checker.is_accepted(scene, f)))
            .filter(|(_, accepted)| self.look.accepted || accepted.is_none())
            .take(MOST)
            .map(|(f, a)| (f.clone(), a.map(str::to_owned)))
            .collect();
        if rows.is_empty() {
            ui.add_space(8.0);
            ui.label(match self.editor.scene().parts.is_empty() {
                true => "Nothing to judge yet: drag a part from the shelf onto a view.",
                false if self.accepted_count() > 0 => {
                    "No open findings; what is left was accepted: see 'accepted too'."
                }
                false => "No findings: everything goes in, is held, and reaches.",
            });
            return;
        }
        for (finding, accepted) in &rows {
            self.finding_row(ui, finding, accepted.as_deref());
        }
        let all = self.editor.checker().findings().len();
        if all > MOST {
            ui.weak(format!(
                "{} more are neither listed nor marked on the sheet; mend some of these first.",
                all - MOST
            ));
        }
    }

    fn finding_row(&mut self, ui: &mut Ui, finding: &Finding, accepted: Option<&str>) {
        let key = finding.key();
        let chosen = self.focus.as_deref() == Some(key.as_str());
        ui.horizontal(|ui| {
            ui.allocate_ui(egui::vec2(72.0, 18.0), |ui| {
                ui.set_min_width(72.0);
                match accepted {
                    Some(_) => ui.weak("accepted"),
                    None => ui.label(severity(ui, finding.severity)),
                };
            });
            let figures = figures(finding);
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Min), |ui| {
                match accepted {
                    Some(_) => {
                        let r = ui.small_button("Reopen");
                        if r.on_hover_text("Counts this finding again.").clicked() {
                            self.editor.accept(&key, None);
                        }
                    }
                    None => {
                        let r = ui.small_button("Accept…");
                        if r.on_hover_text(
                            "Keeps the finding off the list, with a reason that is saved.",
                        )
                        .clicked()
                        {
                            self.ask_reason(&key, &finding.sentence());
                        }
                    }
                }
                // The column stays where it is in rows that nothing mends.
                let r = ui.add_visible(finding.fix.is_some(), egui::Button::new("Mend").small());
                let tip = format!("{} One step, can be undone.", finding.hint);
                if finding.fix.is_some() && r.on_hover_text(tip).clicked() {
                    let said = match self.editor.fix(&key) {
                        Ok(()) => "Mended; undo takes it back.".to_owned(),
                        Err(why) => why,
                    };
                    self.say(said);
                }
                column(ui, 190.0, figures);
                ui.with_layout(egui::Layout::left_to_right(egui::Align::Min), |ui| {
                    let text = match accepted {
                        Some(reason) => format!("{} (accepted: {reason})", finding.sentence()),
                        None => finding.sentence(),
                    };
                    let label = egui::Button::selectable(chosen, text).wrap();
                    let r = ui.add(label).on_hover_text(format!(
                        "{}\n{}",
                        finding.sentence(),
                        finding.hint
                    ));
                    if r.clicked() {
                        self.go_to(finding);
                    }
                });
            });
        });
        if let Some(chain) = finding.chain.as_ref().filter(|_| chosen) {
            ui.indent("chain", |ui| super::chain::table(ui, chain));
        }
    }

    fn cable_rows(&mut self, ui: &mut Ui) {
        let cables: Vec<(CableId, String)> = self
            .editor
            .scene()
            .arrangement()
            .cables
            .iter()
            .map(|(id, c)| (id.clone(), c.name.clone()))
            .collect();
        if cables.is_empty() {
            ui.add_space(8.0);
            ui.label(
                "No cable is led yet. Switch on 'Lead cables' and drag from port to port, or let \
                 every device be given its plug.",
            );
            return;
        }
        for (id, name) in cables.iter().take(MOST) {
            let Some(cable) = self.editor.scene().arrangement().cables.get(id) else {
                continue;
            };
            let last = cable.plugs.last().map(|p| p.to.clone());
            let ends = match last {
                Some(to) => format!("{} — {}", self.port_name(&cable.from), self.port_name(&to)),
                None => self.port_name(&cable.from),
            };
            let run = self.editor.checker().runs().get(id);
            let figures = run.map(|r| (r.needed, r.available, r.short_by()));
            let chosen = self.editor.selection().cable() == Some(id);
            ui.horizontal(|ui| {
                let text = match figures {
                    Some((needed, has, short)) => {
                        let rest = match short {
                            Some(s) => format!("short by {}", s.text1()),
                            None => format!("{} spare", (has - needed).text1()),
                        };
                        format!("needs {}, has {}: {rest}", needed.text1(), has.text1())
                    }
                    None => "not led".to_owned(),
                };
                ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                    ui.scope(|ui| {
                        ui.set_max_width(120.0);
                        if let Some((needed, has, _)) = figures {
                            super::details::bar(ui, needed, has);
                        }
                    });
                    column(ui, 260.0, text);
                    ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                        let label = egui::Button::selectable(chosen, format!("{name}: {ends}"));
                        let r = ui
                            .add(label.truncate())
                            .on_hover_text("Selects this cable.");
                        if r.clicked() {
                            self.editor.select_cable(Some(id.clone()));
                        }
                    });
                });
            });
        }
    }
}

/// Figures set to the right in a column of fixed width, right of what follows.
fn column(ui: &mut Ui, width: f32, text: String) {
    let layout = egui::Layout::right_to_left(egui::Align::Min);
    ui.allocate_ui_with_layout(egui::vec2(width, 18.0), layout, |ui| {
        ui.set_min_width(width);
        ui.label(text);
    });
}

/// The word of a severity with its sign, so that colour is never alone.
fn severity(ui: &Ui, severity: Severity) -> RichText {
    let v = ui.visuals();
    match severity {
        Severity::Stop => RichText::new("■ stop").color(v.error_fg_color).strong(),
        Severity::Caution => RichText::new("▲ caution").color(v.warn_fg_color),
        Severity::Remark => RichText::new("○ remark").color(v.weak_text_color()),
    }
}

/// Needed and available in millimetres.
fn figures(f: &Finding) -> String {
    if let Some([allowed, there]) = f.amounts_text() {
        return format!("{there} of {allowed}");
    }
    let mm = |l: Length| l.text1();
    match (f.needed, f.available) {
        (Some(n), Some(a)) if n == Length::ZERO && a < Length::ZERO => {
            format!("{} mm too much", mm(-a))
        }
        (Some(n), Some(a)) => format!("needs {}, has {} mm", mm(n), mm(a)),
        (Some(n), None) => format!("needs {} mm", mm(n)),
        (None, Some(a)) => format!("has {} mm", mm(a)),
        (None, None) => String::new(),
    }
}
