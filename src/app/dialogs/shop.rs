//! The shop's name, lines, logo and colour, for the title block of pictures.

use super::{App, Dialog};
use crate::app::files::Purpose;
use crate::file::{self, ShopText};
use eframe::egui::{Button, TextEdit, Ui};
use std::path::{Path, PathBuf};

/// The fields of the question.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct ShopFields {
    /// The shop's name.
    pub name: String,
    /// Lines under it, as typed.
    pub lines: String,
    /// Path of the logo; empty for none.
    pub logo: String,
    /// With a colour of its own.
    pub coloured: bool,
    /// That colour.
    pub colour: [u8; 3],
    /// What is wrong with the file as it is, or with what was to be saved.
    pub wrong: Option<String>,
}

/// The colour that is offered first.
const FIRST_COLOUR: [u8; 3] = [0x24, 0x56, 0x6b];

impl ShopFields {
    fn of(text: ShopText) -> ShopFields {
        ShopFields {
            name: text.name,
            lines: text.lines.join("\n"),
            logo: text.logo.unwrap_or_default(),
            coloured: text.accent.is_some(),
            colour: text.accent.unwrap_or(FIRST_COLOUR),
            wrong: None,
        }
    }

    fn text(&self) -> ShopText {
        let lines = self.lines.lines().map(str::trim).filter(|l| !l.is_empty());
        let logo = self.logo.trim();
        ShopText {
            name: self.name.trim().to_owned(),
            lines: lines.map(str::to_owned).collect(),
            logo: (!logo.is_empty()).then(|| logo.to_owned()),
            accent: self.coloured.then_some(self.colour),
        }
    }
}

impl App {
    /// Asks for the shop's name, logo and colour.
    pub fn ask_shop(&mut self) {
        let known = self.shop_file.clone().filter(|f| f.is_file());
        let mut fields = ShopFields::of(ShopText::default());
        if let Some(path) = known {
            match file::read_shop_text(&path) {
                Ok(text) => fields = ShopFields::of(text),
                Err(e) => fields.wrong = Some(e.to_string()),
            }
        }
        self.dialog = Some(Dialog::Shop(fields));
    }

    pub(super) fn shop_fields(&mut self, ui: &mut Ui, fields: &mut ShopFields) -> bool {
        ui.heading("The shop");
        ui.label("Stands over the title block of every picture; kept for all scenes.");
        ui.add_space(8.0);
        let label = ui.label("Name");
        ui.add(TextEdit::singleline(&mut fields.name).desired_width(f32::INFINITY))
            .labelled_by(label.id)
            .on_hover_text("As the customer knows it.");
        let label = ui.label("Lines under it");
        ui.add(
            TextEdit::multiline(&mut fields.lines)
                .desired_rows(2)
                .desired_width(f32::INFINITY),
        )
        .labelled_by(label.id)
        .on_hover_text("Address, telephone; a picture has room for two lines.");
        let label = ui.label("Logo, a PNG file");
        let mut away = false;
        ui.horizontal(|ui| {
            let room = ui.available_width() - 90.0;
            ui.add(TextEdit::singleline(&mut fields.logo).desired_width(room))
                .labelled_by(label.id)
                .on_hover_text("Empty for none. A path counts from the folder of the shop's file.");
            let choose = ui.button("Choose…");
            let choose = choose.on_hover_text("Asks for the file.");
            away = choose.clicked();
        });
        ui.horizontal(|ui| {
            ui.checkbox(&mut fields.coloured, "a colour of its own")
                .on_hover_text("For the stroke beside the name and for what is accented.");
            ui.add_enabled_ui(fields.coloured, |ui| {
                ui.color_edit_button_srgb(&mut fields.colour)
                    .on_hover_text("Choose the colour.");
            });
        });
        if let Some(wrong) = &fields.wrong {
            ui.add_space(4.0);
            ui.colored_label(ui.visuals().error_fg_color, wrong);
        }
        if away {
            self.look.shop = fields.clone();
            self.ask_path(Purpose::Logo);
            return false;
        }
        ui.add_space(12.0);
        let mut stay = true;
        ui.horizontal(|ui| {
            let named = !fields.name.trim().is_empty();
            let save = ui.add_enabled(named && self.shop_file.is_some(), Button::new("Save"));
            let save = save.on_disabled_hover_text(match self.shop_file {
                Some(_) => "Write a name first.",
                None => "There is no folder for settings here.",
            });
            let save = match &self.shop_file {
                Some(path) => save.on_hover_text(path.display().to_string()),
                None => save,
            };
            if save.clicked()
                && let Some(path) = self.shop_file.clone()
            {
                match file::write_shop(&path, &fields.text()) {
                    Ok(()) => {
                        self.say("The shop is saved.".to_owned());
                        stay = false;
                    }
                    Err(e) => fields.wrong = Some(e.to_string()),
                }
            }
            let cancel = ui.button("Cancel").on_hover_text("Keeps what was saved.");
            stay &= !cancel.clicked();
        });
        // Whoever came from the picture goes back to it.
        if !stay {
            self.ask_export();
        }
        stay
    }

    /// Takes the file that was chosen as a logo.
    pub(in crate::app) fn take_logo(&mut self, path: &Path) {
        let path = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
        self.look.shop.logo = path.display().to_string();
        self.look.shop.wrong = None;
        self.back_to_shop();
    }

    /// The question as it was left to choose a logo.
    pub(super) fn back_to_shop(&mut self) {
        self.dialog = Some(Dialog::Shop(self.look.shop.clone()));
    }

    /// Where the logo is that was named last.
    pub(super) fn logo_path(&self) -> Option<PathBuf> {
        let named = self.look.shop.logo.trim();
        (!named.is_empty()).then(|| PathBuf::from(named))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blank_lines_and_an_empty_logo_are_left_out() {
        let fields = ShopFields {
            name: " Example ".to_owned(),
            lines: "one\n\n two \n".to_owned(),
            logo: "  ".to_owned(),
            ..ShopFields::default()
        };
        let text = fields.text();
        assert_eq!((text.name.as_str(), text.lines.len()), ("Example", 2));
        assert_eq!((text.logo, text.accent), (None, None));
    }
}
