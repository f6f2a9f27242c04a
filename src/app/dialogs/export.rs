//! Which picture is written: what it shows, in which format, how large.

use super::{App, Dialog};
use crate::app::files::Purpose;
use crate::view::solid3d::Corner;
use eframe::egui::{self, Key, Modifiers, Slider, Ui};

/// Format of a picture.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Format {
    /// Pixels.
    #[default]
    Png,
    /// Lines and lettering that stay sharp and can be edited.
    Svg,
    /// A page to print or send; lettering can be searched.
    Pdf,
}

impl Format {
    /// The file's ending.
    pub const fn ending(self) -> &'static str {
        match self {
            Format::Png => "png",
            Format::Svg => "svg",
            Format::Pdf => "pdf",
        }
    }
}

/// What the user wants exported.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct ExportChoice {
    /// Clean for the customer, or with findings as on the sheet.
    pub findings: bool,
    /// With the front view.
    pub front: bool,
    /// With the three-dimensional view.
    pub solid: bool,
    /// From which corner that is taken.
    pub corner: Corner,
    /// PNG, SVG or PDF.
    pub format: Format,
    /// Width in pixels, for PNG.
    pub width_px: u32,
    /// In the dark palette.
    pub dark: bool,
}

impl Default for ExportChoice {
    fn default() -> ExportChoice {
        ExportChoice {
            findings: false,
            front: true,
            solid: true,
            corner: Corner::default(),
            format: Format::Png,
            width_px: 2400,
            dark: false,
        }
    }
}

impl App {
    /// Asks what picture is written.
    pub fn ask_export(&mut self) {
        self.editor.cancel_gesture();
        self.dialog = Some(Dialog::Export(self.look.export));
    }

    pub(super) fn export_choice(&mut self, ui: &mut Ui, choice: &mut ExportChoice) -> bool {
        ui.heading("Export a picture");
        ui.label("With scale bar, outer dimensions, numbered legend, title and date.");
        ui.add_space(8.0);
        ui.radio_value(&mut choice.findings, false, "Clean, for the customer")
            .on_hover_text("No findings and no zones: what is built, to scale.");
        ui.radio_value(&mut choice.findings, true, "As on the sheet, with findings")
            .on_hover_text("Clashes hatched, gaps and shortfalls with their figures, and a list.");
        ui.add_space(8.0);
        ui.checkbox(&mut choice.front, "with a front view")
            .on_hover_text("Beside the side view, on the same height.");
        ui.horizontal(|ui| {
            ui.checkbox(&mut choice.solid, "with a three-dimensional view")
                .on_hover_text("Shaded, the walls in the way cut off. Not to scale.");
            ui.add_enabled_ui(choice.solid, |ui| {
                let shown = egui::ComboBox::from_id_salt("corner")
                    .selected_text(choice.corner.name())
                    .width(230.0)
                    .show_ui(ui, |ui| {
                        for corner in Corner::ALL {
                            ui.selectable_value(&mut choice.corner, corner, corner.name());
                        }
                    });
                shown
                    .response
                    .accessible_name("Corner")
                    .on_hover_text("From which corner of the enclosure.");
            });
        });
        ui.checkbox(&mut choice.dark, "dark")
            .on_hover_text("Slate ground and pale ink, for screens. Print the light one.");
        ui.add_space(8.0);
        ui.horizontal(|ui| {
            ui.radio_value(&mut choice.format, Format::Png, "PNG")
                .on_hover_text("A pixel picture that every program shows.");
            ui.radio_value(&mut choice.format, Format::Svg, "SVG")
                .on_hover_text("Lines that stay sharp at any size; text stays text.");
            ui.radio_value(&mut choice.format, Format::Pdf, "PDF")
                .on_hover_text("A page to print or send, to scale; its text can be searched.");
        });
        // Greyed rather than gone, so that the buttons stay under the pointer.
        ui.add_enabled_ui(choice.format == Format::Png, |ui| {
            let label = ui.label("Width in pixels");
            ui.add(Slider::new(&mut choice.width_px, 600..=8000).step_by(100.0))
                .labelled_by(label.id)
                .on_hover_text("2400 prints well on A4 at 200 dots an inch.");
        });
        ui.add_space(12.0);
        self.look.export = *choice;
        let mut stay = true;
        ui.horizontal(|ui| {
            let enter = ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Enter));
            let go = ui.button("Choose a file…");
            let go = go.on_hover_text("Asks where to write it. [Enter]");
            if go.clicked() || enter {
                self.ask_path(Purpose::Export);
                stay = false;
            }
            if ui
                .button("Cancel")
                .on_hover_text("Writes nothing.")
                .clicked()
            {
                stay = false;
            }
        });
        stay
    }
}
