//! The chain of dimensions behind an uncertain gap, as a table.

use super::App;
use crate::placement::{Chains, Link, Source};
use eframe::egui::{self, Label, RichText, TextWrapMode, Ui};

impl App {
    /// Shows a chain: its sums, then its dimensions, the one that is most worth measuring
    /// first, each with a field for what it was measured to be.
    pub(super) fn chain_table(&mut self, ui: &mut Ui, chain: &Chains) {
        sums(ui, chain);
        ui.add_space(2.0);
        egui::Grid::new("chain")
            .num_columns(6)
            .striped(true)
            .spacing([18.0, 3.0])
            .show(ui, |ui| self.rows(ui, chain));
    }

    fn rows(&mut self, ui: &mut Ui, chain: &Chains) {
        for (text, tip) in HEADS {
            ui.weak(text).on_hover_text(tip);
        }
        ui.end_row();
        for (slope, link) in chain.by_range() {
            let what = match chain.is_straight() {
                true => link.what.clone(),
                false => format!("{}: {}", slope.axis.name(), link.what),
            };
            ui.add(Label::new(what).wrap_mode(TextWrapMode::Extend));
            figure(ui, nominal(link));
            figure(ui, deviation(link));
            figure(ui, format!("{:.0} %", chain.share(slope, link) * 100.0));
            ui.weak(link.source.name());
            if let Some((of, span)) = &link.dimension {
                self.measured_field(ui, of, *span, &link.what);
            }
            ui.end_row();
        }
    }
}

const HEADS: [(&str, &str); 6] = [
    (
        "measure",
        "The dimensions from face to face, the one that is most worth measuring first.",
    ),
    (
        "mm",
        "Its nominal; with a minus where it takes from the gap.",
    ),
    ("±", "How far it may be off."),
    (
        "share",
        "Its share of the spread: how much is won by measuring it.",
    ),
    ("from", "Where the plus and minus come from."),
    (
        "measured",
        "What a calliper says; the gap is worked out anew with it.",
    ),
];

fn sums(ui: &mut Ui, chain: &Chains) {
    let spread = chain.spread();
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 16.0;
        for (name, value) in [
            ("nominal", format!("{} mm", spread.nominal.text2())),
            (
                "worst case",
                format!("{} to {} mm", spread.least.text2(), spread.most.text2()),
            ),
            (
                "root sum square",
                format!("{:.2} ± {:.2} mm", spread.centre, spread.rss),
            ),
            ("touches in", percent(spread.interference)),
        ] {
            ui.horizontal(|ui| {
                ui.spacing_mut().item_spacing.x = 5.0;
                ui.weak(name);
                ui.label(RichText::new(value).strong());
            });
        }
    });
}

fn figure(ui: &mut Ui, text: String) {
    ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
        ui.label(RichText::new(text).monospace());
    });
}

fn nominal(link: &Link) -> String {
    match link.source {
        Source::Play => String::new(),
        Source::Measured | Source::Derived | Source::Given | Source::General => {
            link.nominal.text2()
        }
    }
}

fn deviation(link: &Link) -> String {
    let (plus, minus) = (link.deviation.plus, link.deviation.minus);
    match plus == minus {
        true => format!("±{}", plus.text2()),
        false => format!("+{} −{}", plus.text2(), minus.text2()),
    }
}

fn percent(p: f64) -> String {
    match p * 100.0 {
        p if p < 0.01 => "less than 0.01 % of builds".to_owned(),
        p if p < 1.0 => format!("{p:.2} % of builds"),
        p => format!("{p:.0} % of builds"),
    }
}
