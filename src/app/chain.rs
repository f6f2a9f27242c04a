//! The chain of dimensions behind an uncertain gap, as a table.

use crate::placement::{Chain, Link, Source};
use eframe::egui::{self, Label, RichText, TextWrapMode, Ui};

/// Shows a chain: its sums, then its dimensions, the one that is most worth measuring
/// first.
pub(super) fn table(ui: &mut Ui, chain: &Chain) {
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
            ("meets in", percent(spread.interference())),
        ] {
            ui.horizontal(|ui| {
                ui.spacing_mut().item_spacing.x = 5.0;
                ui.weak(name);
                ui.label(RichText::new(value).strong());
            });
        }
    });
    ui.add_space(2.0);
    egui::Grid::new("chain")
        .num_columns(5)
        .striped(true)
        .spacing([18.0, 3.0])
        .show(ui, |ui| {
            for (text, tip) in [
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
            ] {
                ui.weak(text).on_hover_text(tip);
            }
            ui.end_row();
            for link in chain.by_range() {
                ui.add(Label::new(&link.what).wrap_mode(TextWrapMode::Extend));
                figure(ui, nominal(link));
                figure(ui, deviation(link));
                figure(ui, format!("{:.0} %", chain.share(link) * 100.0));
                ui.weak(source(link.source));
                ui.end_row();
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
        Source::Given | Source::General => link.nominal.text2(),
    }
}

fn deviation(link: &Link) -> String {
    let (plus, minus) = (link.deviation.plus, link.deviation.minus);
    match plus == minus {
        true => format!("±{}", plus.text2()),
        false => format!("+{} −{}", plus.text2(), minus.text2()),
    }
}

fn source(source: Source) -> &'static str {
    match source {
        Source::Given => "its own figure",
        Source::General => "general tolerance",
        Source::Play => "play of screws",
    }
}

fn percent(p: f64) -> String {
    match p * 100.0 {
        p if p < 0.01 => "less than 0.01 % of builds".to_owned(),
        p if p < 1.0 => format!("{p:.2} % of builds"),
        p => format!("{p:.0} % of builds"),
    }
}
