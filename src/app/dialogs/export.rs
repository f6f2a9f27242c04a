//! Which picture is written: what it shows, in which format, how large.

use super::pick::{arrangements, pick};
use super::{App, Dialog};
use crate::app::files::Purpose;
use crate::app::today;
use crate::model::Scene;
use crate::view::ViewKind;
use crate::view::picture::{A4, LETTER, PictureOptions, Views};
use crate::view::solid3d::{Corner, SolidOptions, Walls};
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
    /// Which arrangement, by its index.
    pub arrangement: usize,
    /// The arrangement before it, for a picture of both.
    pub before: Option<usize>,
    /// Clean for the customer, or with findings as on the sheet.
    pub findings: bool,
    /// Which views.
    pub views: Views,
    /// With the front view.
    pub front: bool,
    /// With the three-dimensional view.
    pub solid: bool,
    /// From which corner that is taken.
    pub corner: Corner,
    /// What becomes of the walls in the way.
    pub walls: Walls,
    /// Millimetres by which parts are lifted off what carries them.
    pub explode_mm: u32,
    /// Mildly converging.
    pub perspective: bool,
    /// PNG, SVG or PDF.
    pub format: Format,
    /// Width in pixels, for PNG.
    pub width_px: u32,
    /// On Letter rather than A4.
    pub letter: bool,
    /// In the dark palette.
    pub dark: bool,
}

impl Default for ExportChoice {
    fn default() -> ExportChoice {
        ExportChoice {
            arrangement: 0,
            before: None,
            findings: false,
            views: Views::Page,
            front: true,
            solid: true,
            corner: Corner::default(),
            walls: Walls::default(),
            explode_mm: 0,
            perspective: false,
            format: Format::Png,
            width_px: 2400,
            letter: false,
            dark: false,
        }
    }
}

impl ExportChoice {
    /// The picture that was chosen, but for the shop.
    pub fn options(&self) -> PictureOptions {
        let solid = self.solid || self.views == Views::Solid;
        PictureOptions {
            findings: self.findings,
            views: self.views,
            front: self.front,
            solid: solid.then_some(SolidOptions {
                corner: self.corner,
                perspective: self.perspective,
                walls: self.walls,
                explode: f64::from(self.explode_mm),
            }),
            page: if self.letter { LETTER } else { A4 },
            date: today(),
            ..PictureOptions::default()
        }
    }

    /// The scene with the chosen arrangement at hand, and the one before it.
    ///
    /// # Errors
    ///
    /// In words, where an arrangement is gone by now.
    pub fn scenes(&self, scene: &Scene) -> Result<(Scene, Option<Scene>), String> {
        let shown = |index: usize| {
            let shown = scene.showing(index);
            shown.ok_or_else(|| "the arrangement that was chosen is gone".to_owned())
        };
        Ok((
            shown(self.arrangement)?,
            self.before.map(shown).transpose()?,
        ))
    }
}

impl App {
    /// Asks what picture is written.
    pub fn ask_export(&mut self) {
        self.editor.cancel_gesture();
        let scene = self.editor.scene();
        let known = scene.arrangements.len();
        let mut choice = self.look.export;
        choice.arrangement = scene.current;
        choice.before = choice
            .before
            .filter(|b| *b < known && *b != choice.arrangement);
        self.dialog = Some(Dialog::Export(choice));
    }

    pub(super) fn export_choice(&mut self, ui: &mut Ui, choice: &mut ExportChoice) -> bool {
        // Enter in a field ends that field only.
        let typing = ui.ctx().text_edit_focused();
        ui.heading("Export a picture");
        ui.label("With scale bar, outer dimensions, numbered legend, title and date.");
        ui.add_space(8.0);
        self.which_arrangements(ui, choice);
        ui.radio_value(&mut choice.findings, false, "Clean, for the customer")
            .on_hover_text("No findings and no zones: what is built, to scale.");
        ui.radio_value(&mut choice.findings, true, "As on the sheet, with findings")
            .on_hover_text("Clashes hatched, gaps and shortfalls with their figures, and a list.");
        ui.add_space(8.0);
        ui.add_enabled_ui(choice.before.is_none(), |ui| which_views(ui, choice));
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
        ui.horizontal(|ui| {
            ui.label("Page");
            ui.radio_value(&mut choice.letter, false, "A4")
                .on_hover_text("297 x 210 mm, lying.");
            ui.radio_value(&mut choice.letter, true, "Letter")
                .on_hover_text("11 x 8.5 in, lying.");
        });
        let mut to_shop = false;
        ui.horizontal(|ui| {
            let there = self.shop_file.as_ref().is_some_and(|f| f.is_file());
            let button = ui.button("Shop…");
            let button = button.on_hover_text("Name, lines, logo and colour for the title block.");
            to_shop = button.clicked();
            ui.weak(match there {
                true => "stands over the title block",
                false => "not named yet: the title block has none",
            });
        });
        if to_shop {
            self.look.export = *choice;
            self.ask_shop();
            return false;
        }
        ui.add_space(12.0);
        self.look.export = *choice;
        let mut stay = true;
        ui.horizontal(|ui| {
            let enter = !typing && ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Enter));
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

    /// Which arrangement, and which before it, where there are several.
    fn which_arrangements(&self, ui: &mut Ui, choice: &mut ExportChoice) {
        let all = arrangements(self.editor.scene());
        if all.len() < 2 {
            return;
        }
        egui::Grid::new("arrangements").num_columns(2).show(ui, |ui| {
            let about = ("Arrangement", "Which of them is shown.");
            pick(ui, about, 330.0, &mut choice.arrangement, &all);
            ui.end_row();
            let others = all.iter().filter(|(i, _)| *i != choice.arrangement);
            let mut before = vec![(None, "none: this one alone".to_owned())];
            before.extend(others.map(|(i, name)| (Some(*i), name.clone())));
            if choice.before == Some(choice.arrangement) {
                choice.before = None;
            }
            let about = (
                "Before it",
                "Both beside one another in top and side view, with what differs marked and listed.",
            );
            pick(ui, about, 330.0, &mut choice.before, &before);
            ui.end_row();
        });
        ui.add_space(8.0);
    }
}

/// The views, and how the three-dimensional one is drawn.
fn which_views(ui: &mut Ui, choice: &mut ExportChoice) {
    let views = [
        (Views::Page, "several on one page"),
        (Views::One(ViewKind::Top), "top view alone"),
        (Views::One(ViewKind::Side), "side view alone"),
        (Views::One(ViewKind::Front), "front view alone"),
        (Views::Solid, "three-dimensional view alone"),
    ]
    .map(|(v, words)| (v, words.to_owned()));
    ui.horizontal(|ui| {
        let about = ("Views", "What stands on the page.");
        pick(ui, about, 230.0, &mut choice.views, &views);
    });
    let page = choice.views == Views::Page;
    ui.add_enabled_ui(page, |ui| {
        ui.checkbox(&mut choice.front, "with a front view")
            .on_hover_text("Beside the side view, on the same height.");
        ui.checkbox(&mut choice.solid, "with a three-dimensional view")
            .on_hover_text("Shaded, not to scale.");
    });
    let solid = match choice.views {
        Views::Page => choice.solid,
        Views::One(_) => false,
        Views::Solid => true,
    };
    ui.add_enabled_ui(solid, |ui| {
        let corners = Corner::ALL.map(|c| (c, c.name().to_owned()));
        let walls = [
            (Walls::CutAway, "cut away"),
            (Walls::Ghost, "ghosted"),
            (Walls::Whole, "whole"),
        ]
        .map(|(w, words)| (w, words.to_owned()));
        egui::Grid::new("solid").num_columns(2).show(ui, |ui| {
            let about = ("Seen", "From which corner of the enclosure.");
            pick(ui, about, 230.0, &mut choice.corner, &corners);
            ui.end_row();
            let about = ("Walls in the way", "The outer walls between eye and parts.");
            pick(ui, about, 230.0, &mut choice.walls, &walls);
            ui.end_row();
            let label = ui.label("Taken apart by");
            ui.add(Slider::new(&mut choice.explode_mm, 0..=300).suffix(" mm"))
                .labelled_by(label.id)
                .on_hover_text(
                    "Lifts each part off what carries it, the way it goes on; without cables.",
                );
            ui.end_row();
            ui.label("");
            ui.checkbox(&mut choice.perspective, "perspective")
                .on_hover_text(
                    "Lines of sight converge a little; without, all axes are to one scale.",
                );
            ui.end_row();
        });
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_chosen_reaches_the_picture() {
        let choice = ExportChoice {
            solid: false,
            views: Views::Solid,
            walls: Walls::Ghost,
            explode_mm: 40,
            letter: true,
            ..ExportChoice::default()
        };
        let options = choice.options();
        let solid = options.solid.expect("alone it is always there");
        assert_eq!((solid.walls, solid.explode), (Walls::Ghost, 40.0));
        assert_eq!(options.page, LETTER);
    }
}
