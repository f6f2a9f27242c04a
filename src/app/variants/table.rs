//! The comparison table: a line for each figure, the arrangements side by side.

use super::super::App;
use super::super::files::Purpose;
use crate::compare::{Better, COLUMNS, Column, Figure, Sense, Table};
use eframe::egui::{self, Grid, RichText, Ui};

impl App {
    /// Draws the table.
    pub(in crate::app) fn table_ui(&mut self, ui: &mut Ui) {
        let Some(table) = self.compared() else {
            ui.label(match self.variants.is_busy() {
                true => "The arrangements are being checked and measured…",
                false => "The arrangements are measured when the gesture ends.",
            });
            return;
        };
        let (by, descending) = self.variants.sort.unzip();
        let order = table.order(by, descending.unwrap_or(false));
        egui::ScrollArea::both()
            .id_salt("table")
            .auto_shrink([false, false])
            .show(ui, |ui| {
                Grid::new("comparison")
                    .striped(true)
                    .num_columns(order.len() + 1)
                    .spacing([20.0, 3.0])
                    .min_col_width(96.0)
                    .show(ui, |ui| {
                        self.heads(ui, &table, &order);
                        for (c, column) in COLUMNS.iter().enumerate() {
                            self.line_head(ui, *column);
                            let best = best(&table, c, column.better());
                            for row in &order {
                                let bold = best.contains(row);
                                cell(ui, &table, *row, c, bold);
                            }
                            ui.end_row();
                        }
                    });
                ui.add_space(4.0);
                ui.weak(
                    "Click a figure's name to sort by it. '+?': more is not known, see its tip. Planning figures.",
                );
            });
    }

    fn heads(&mut self, ui: &mut Ui, table: &Table, order: &[usize]) {
        let sorted = match self.variants.sort.and_then(|s| Table::column(s.0)) {
            Some(column) => format!("by {}", column.title().to_lowercase()),
            None => "in the scene's order".to_owned(),
        };
        ui.weak(sorted);
        let current = self.editor.scene().current;
        for i in order {
            ui.horizontal(|ui| {
                let name = RichText::new(&table.rows[*i].name).strong();
                let head = ui.add(egui::Button::selectable(*i == current, name));
                let words = format!("show arrangement {}", table.rows[*i].name);
                head.widget_info(|| {
                    egui::WidgetInfo::selected(egui::Role::Button, true, *i == current, &words)
                });
                if head
                    .on_hover_text("Shows this arrangement on the sheet.")
                    .clicked()
                {
                    self.choose_arrangement(*i);
                }
                let is_base = table.base == Some(*i);
                let base = ui.add(egui::Button::selectable(is_base, "base").small());
                let words = format!("measure against {}", table.rows[*i].name);
                base.widget_info(|| {
                    egui::WidgetInfo::selected(egui::Role::Button, true, is_base, &words)
                });
                let tip = "Shows the difference to this arrangement in brackets.";
                if base.on_hover_text(tip).clicked() {
                    self.measure_against((!is_base).then_some(*i));
                }
            });
        }
        ui.end_row();
    }

    fn line_head(&mut self, ui: &mut Ui, column: &'static dyn Column) {
        let unit = match column.unit() {
            "" => String::new(),
            unit => format!(", {unit}"),
        };
        let sorted = self.variants.sort.filter(|s| s.0 == column.id());
        let mark = match sorted {
            None => "",
            Some((_, false)) => "  ▲",
            Some((_, true)) => "  ▼",
        };
        let text = format!("{}{unit}{mark}", column.title());
        let button = egui::Button::selectable(sorted.is_some(), text);
        let tip = format!(
            "{} Click sorts by it, a second click the other way.",
            column.about()
        );
        if ui.add(button).on_hover_text(tip).clicked() {
            self.variants.sort = match sorted {
                None => Some((column.id(), false)),
                Some((id, false)) => Some((id, true)),
                Some((_, true)) => None,
            };
        }
    }

    /// The button that writes the table.
    pub(in crate::app) fn table_button(&mut self, ui: &mut Ui) {
        let ready = self.compared().is_some();
        let button = ui.add_enabled(ready, egui::Button::new("Export table…"));
        let tip = "Writes the table as CSV for a spreadsheet, or as JSON, by the file's ending.";
        if button.on_hover_text(tip).clicked() {
            self.ask_path(Purpose::Table);
        }
    }
}

/// The rows with the best figure, where all are known in full and not all the same.
fn best(table: &Table, column: usize, better: Better) -> Vec<usize> {
    let keys: Option<Vec<f64>> = table
        .rows
        .iter()
        .map(|r| {
            let figure = &r.figures[column];
            let whole = figure.missing.is_none();
            figure.value.filter(|_| whole).map(|v| v.key())
        })
        .collect();
    let Some(keys) = keys else { return Vec::new() };
    let low = keys.iter().copied().fold(f64::INFINITY, f64::min);
    let high = keys.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let wanted = match better {
        _ if low == high => return Vec::new(),
        Better::Less => low,
        Better::More => high,
        Better::Neither => return Vec::new(),
    };
    let rows = keys.iter().enumerate().filter(|(_, k)| **k == wanted);
    rows.map(|(i, _)| i).collect()
}

fn cell(ui: &mut Ui, table: &Table, row: usize, column: usize, best: bool) {
    let figure: &Figure = &table.rows[row].figures[column];
    ui.horizontal(|ui| {
        let text = RichText::new(figure.text());
        let text = if best { text.strong() } else { text };
        let mut response = ui.label(text);
        if let Some(delta) = table.delta(row, column) {
            let (mark, words) = match (delta.partial, delta.sense) {
                (true, _) => (" ?", "One of the two figures is not known in full."),
                (_, Sense::Worse) => (" !", "Worse than the base."),
                (_, Sense::Better) => (" +", "Better than the base."),
                (_, Sense::Even) => ("", "As in the base, or neither better nor worse."),
            };
            let mark = if mark == " +" { "" } else { mark };
            response |= ui
                .weak(format!("({}{mark})", delta.text))
                .on_hover_text(words);
        }
        let mut tips = vec![figure.note.clone()];
        tips.extend(figure.missing.as_ref().map(|m| format!("Not known: {m}.")));
        if best {
            tips.push("The best of them.".to_owned());
        }
        tips.retain(|t| !t.is_empty());
        if !tips.is_empty() {
            response.on_hover_text(tips.join("\n"));
        }
    });
}
