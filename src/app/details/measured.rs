//! What was measured of a part or of the enclosure, to be read and typed.

use super::App;
use crate::edit::Edit;
use crate::geom::{Axis, Length};
use crate::model::{Dimensions, Measured, PartId, Span};
use eframe::egui::{self, Grid, Ui};

impl App {
    /// The sizes of a part, and whatever else was measured of it, each with a field.
    pub(super) fn measured_of_part(&mut self, ui: &mut Ui, id: &PartId) {
        let Some(part) = self.editor.scene().parts.get(id) else {
            return;
        };
        let size = part.kind.size;
        let whole = Axis::ALL
            .into_iter()
            .filter_map(|a| Span::new(a, Length::ZERO, size.along(a)));
        let whole: Vec<Span> = whole.collect();
        self.measured_rows(ui, &Some(id.clone()), &whole);
    }

    /// What was measured of the enclosure; nothing where nothing was.
    pub(super) fn measured_of_enclosure(&mut self, ui: &mut Ui) {
        if self.editor.scene().measured.contains_key(&None) {
            self.measured_rows(ui, &None, &[]);
        }
    }

    fn measured_rows(&mut self, ui: &mut Ui, of: &Option<PartId>, always: &[Span]) {
        let known: Dimensions = match self.editor.scene().measured.get(of) {
            Some(known) => known.clone(),
            None => Dimensions::new(),
        };
        let mut spans: Vec<Span> = always.to_vec();
        spans.extend(known.keys().filter(|s| !always.contains(s)));
        ui.add_space(8.0);
        ui.strong("Measured").on_hover_text(
            "Figures from a calliper. They come before those of the catalogue in the chains of \
             dimensions; other dimensions get a field in the chain of an uncertain gap.",
        );
        Grid::new(("measured", of))
            .num_columns(2)
            .spacing([8.0, 4.0])
            .show(ui, |ui| {
                for span in spans {
                    let axis = ["x", "y", "z"][span.axis.index()];
                    let name = match always.contains(&span) {
                        true => format!("{axis}, all of {}", span.nominal()),
                        false => format!("{axis}, {} to {}", span.low, span.high),
                    };
                    ui.weak(&name);
                    self.measured_field(ui, of, span, &name);
                    ui.end_row();
                }
            });
    }

    /// A field for what a dimension was measured to be.
    pub(in crate::app) fn measured_field(
        &mut self,
        ui: &mut Ui,
        of: &Option<PartId>,
        span: Span,
        name: &str,
    ) {
        let known = self.editor.scene().measured.get(of);
        let known = known.and_then(|m| m.get(&span)).copied();
        let id = ui.make_persistent_id(("measured", of, span));
        let shown = known.map(|m| m.text()).unwrap_or_default();
        let mut text: String = ui.data(|d| d.get_temp(id)).unwrap_or_else(|| shown.clone());
        let field = egui::TextEdit::singleline(&mut text)
            .id(id.with("field"))
            .hint_text("not measured")
            .desired_width(104.0);
        let field = ui.add(field).on_hover_text(format!(
            "What {name} was measured to be, in mm, with its plus and minus: 118.6 ± 0.1 or \
             118.6 +0.2 -0.1. Without one, ±0.05. Empty forgets it."
        ));
        field.widget_info(|| {
            egui::WidgetInfo::labeled(egui::Role::TextInput, true, format!("measured {name}"))
        });
        if field.changed() {
            ui.data_mut(|d| d.insert_temp(id, text.clone()));
        }
        if !field.lost_focus() {
            return;
        }
        ui.data_mut(|d| d.remove_temp::<String>(id));
        let is = match text.trim() {
            "" => None,
            text if text == shown => known,
            text => match Measured::parse(text) {
                Ok(is) => Some(is),
                Err(why) => {
                    self.say(format!("Not noted: {why}."));
                    return;
                }
            },
        };
        if is != known {
            let of = of.clone();
            _ = self
                .editor
                .apply("measure", &[Edit::Measure { of, span, is }]);
        }
    }
}
