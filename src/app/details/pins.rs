//! Pictures of pin headers: what goes where, and which way round.

use super::App;
use crate::app::painter::{self, Screen};
use crate::app::theme;
use crate::model::pins::{self, Header};
use crate::view;
use crate::view::list::Rect as PageRect;
use eframe::egui::{self, Ui};
use std::collections::BTreeSet;

/// Points of the window for a millimetre of the picture.
const PPM: f32 = 96.0 / 25.4;

impl App {
    /// The pins of those connectors that are known headers, each once.
    pub(super) fn pins<'a>(&self, ui: &mut Ui, connectors: impl Iterator<Item = &'a str>) {
        let distinct: BTreeSet<&str> = connectors.collect();
        let headers: Vec<&Header> = distinct.into_iter().filter_map(pins::header).collect();
        if headers.is_empty() {
            return;
        }
        ui.add_space(8.0);
        egui::CollapsingHeader::new("Pins")
            .default_open(headers.len() == 1)
            .show(ui, |ui| {
                for header in headers {
                    self.pin_header(ui, header);
                }
            });
    }

    fn pin_header(&self, ui: &mut Ui, header: &Header) {
        let name = self.connector_name(header.connector);
        ui.label(format!("{name}, {}", header.key()))
            .on_hover_text(header.source);
        let (list, (width, height)) = view::pins::picture(header);
        let size = egui::vec2(width as f32, height as f32) * PPM;
        let (area, response) = ui.allocate_exact_size(size, egui::Sense::hover());
        let words = format!("Pins of {name}");
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, &words));
        let screen = Screen {
            origin: area.min,
            ppm: PPM,
        };
        let palette = self.palette();
        let colours = |role, wash| theme::role_colour(&palette, role, wash);
        let page = PageRect::sized(0.0, 0.0, width, height);
        let pixels = ui.ctx().pixels_per_point();
        let ready = painter::ready(&list, screen, page, pixels, &colours);
        painter::paint(
            &ui.painter().with_clip_rect(area),
            &ready,
            screen,
            screen.ppm,
        );
        let pin = response.hover_pos().and_then(|at| {
            let at = screen.page(at);
            view::pins::under(header, (at.x, at.y))
        });
        match pin {
            Some(pin) => {
                let name = header.names[usize::from(pin) - 1];
                let text = match name {
                    "" => format!("{pin}: left out"),
                    name => format!("{pin}: {name}"),
                };
                response.on_hover_text(text);
            }
            None => {
                response.on_hover_text("Pin 1 has a second square about it. Point at a pin.");
            }
        }
        for plug in header.plugs {
            ui.label(plug.words());
        }
        ui.add_space(4.0);
    }
}
