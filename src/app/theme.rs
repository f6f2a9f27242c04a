//! Palette and typeface of the window: the same tables as the pictures use.

use super::App;
use crate::view::list::{Role, System, Weight};
use crate::view::palette::{Palette, Rgba};
use crate::view::text::font_file;
use eframe::egui::{
    self, Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, Stroke,
    TextStyle, Theme, Vec2, style::WidgetVisuals,
};
use std::sync::Arc;

const REGULAR: &str = "closefit-regular";
const BOLD: &str = "closefit-bold";

/// Font family of the normal and the bold weight.
pub fn family(bold: bool) -> FontFamily {
    match bold {
        true => FontFamily::Name(BOLD.into()),
        false => FontFamily::Proportional,
    }
}

/// Installs the typeface, with the toolkit's own as a fallback for signs that it
/// lacks.
pub fn install_fonts(ctx: &egui::Context) {
    let mut fonts = FontDefinitions::default();
    for (name, weight) in [(REGULAR, Weight::Regular), (BOLD, Weight::Bold)] {
        let data = FontData::from_static(font_file(weight));
        fonts.font_data.insert(name.to_owned(), Arc::new(data));
    }
    let mut fallback = fonts
        .families
        .get(&FontFamily::Proportional)
        .cloned()
        .unwrap_or_default();
    fallback.push("Hack".to_owned());
    let with = |first: &str| {
        let mut list = vec![first.to_owned()];
        list.extend(fallback.iter().cloned());
        list
    };
    fonts
        .families
        .insert(FontFamily::Proportional, with(REGULAR));
    fonts
        .families
        .insert(FontFamily::Name(BOLD.into()), with(BOLD));
    ctx.set_fonts(fonts);
}

fn colour(c: Rgba) -> Color32 {
    Color32::from_rgba_unmultiplied(c.r, c.g, c.b, c.a)
}

/// Colour of a role on the sheet; washed where asked for.
pub fn role_colour(palette: &Palette, role: Role, wash: bool) -> Color32 {
    match wash {
        true => colour(palette.wash(role)),
        false => colour(palette.colour(role)),
    }
}

impl App {
    /// The palette at hand.
    pub(super) fn palette(&self) -> Palette {
        Palette::choose(self.look.dark, self.look.contrast)
    }

    /// Gives the window the palette's colours, once for each change.
    pub(super) fn apply_theme(&mut self, ctx: &egui::Context) {
        let want = (self.look.dark, self.look.contrast);
        if self.themed == Some(want) {
            return;
        }
        if self.themed.is_none() {
            install_fonts(ctx);
        }
        self.themed = Some(want);
        ctx.set_theme(if self.look.dark {
            Theme::Dark
        } else {
            Theme::Light
        });
        let palette = self.palette();
        ctx.all_styles_mut(|style| restyle(style, &palette));
        // What was laid out before in this frame wears the old one.
        ctx.request_repaint();
    }
}

fn restyle(style: &mut egui::Style, palette: &Palette) {
    let c = |role| colour(palette.colour(role));
    let mix = |a: Role, b: Role, t| colour(palette.colour(a).mix(palette.colour(b), t));
    let (paper, text, soft, ink) = (
        c(Role::Paper),
        c(Role::Text),
        c(Role::TextSoft),
        c(Role::Ink),
    );
    let panel = mix(Role::Paper, Role::Text, 0.045);
    let raised = mix(Role::Paper, Role::Text, 0.1);
    let pressed = mix(Role::Paper, Role::Text, 0.2);
    let edge = mix(Role::Paper, Role::Text, 0.35);
    let chosen = mix(Role::Paper, Role::Selected, 0.24);
    for (name, size) in [
        (TextStyle::Body, 12.5),
        (TextStyle::Button, 12.5),
        (TextStyle::Small, 10.5),
        (TextStyle::Monospace, 12.0),
    ] {
        style
            .text_styles
            .insert(name, FontId::new(size, family(false)));
    }
    style
        .text_styles
        .insert(TextStyle::Heading, FontId::new(14.0, family(true)));
    style.spacing.item_spacing = Vec2::new(8.0, 4.0);
    style.spacing.button_padding = Vec2::new(8.0, 3.0);
    style.spacing.window_margin = Margin::same(16);
    style.spacing.menu_margin = Margin::same(6);
    let v = &mut style.visuals;
    v.dark_mode = palette.dark;
    v.panel_fill = panel;
    v.window_fill = panel;
    v.extreme_bg_color = paper;
    v.faint_bg_color = mix(Role::Paper, Role::Text, 0.07);
    v.text_edit_bg_color = Some(paper);
    v.window_stroke = Stroke::new(1.0, edge);
    v.window_corner_radius = CornerRadius::same(3);
    v.menu_corner_radius = CornerRadius::same(3);
    v.hyperlink_color = c(Role::Cable(System::Data));
    v.error_fg_color = c(Role::Clash);
    v.warn_fg_color = c(Role::Caution);
    v.weak_text_color = Some(soft);
    v.selection.bg_fill = chosen;
    v.selection.stroke = Stroke::new(1.0, text);
    let widget = |fill: Color32, line: Color32, fg: Color32, width: f32| WidgetVisuals {
        bg_fill: fill,
        weak_bg_fill: fill,
        bg_stroke: Stroke::new(width, line),
        corner_radius: CornerRadius::same(2),
        fg_stroke: Stroke::new(1.0, fg),
        expansion: 0.0,
    };
    v.widgets.noninteractive = widget(panel, mix(Role::Paper, Role::Text, 0.2), text, 1.0);
    v.widgets.inactive = widget(raised, edge, text, 0.0);
    v.widgets.hovered = widget(pressed, ink, text, 1.0);
    v.widgets.active = widget(pressed, c(Role::Selected), text, 1.5);
    v.widgets.open = widget(pressed, edge, text, 1.0);
}
