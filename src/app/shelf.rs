//! The shelf: part kinds by group, searchable, to be dragged onto the sheet.

use super::App;
use crate::editor::tool::{Event, Tool};
use crate::model::{Group, PartKind};
use eframe::egui::{self, RichText, Sense, Ui};
use std::sync::Arc;

/// What the shelf remembers.
#[derive(Default)]
pub struct Shelf {
    /// The text searched for.
    pub search: String,
}

impl App {
    /// Draws the shelf.
    pub(super) fn shelf_ui(&mut self, ui: &mut Ui) {
        ui.horizontal(|ui| {
            ui.heading("Shelf");
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                self.fold_button(ui, super::Action::Shelf);
            });
        });
        let field = egui::TextEdit::singleline(&mut self.shelf.search)
            .hint_text("Search: fan 120, 45 thick…")
            .desired_width(f32::INFINITY);
        ui.add(field)
            .accessible_name("Search the shelf")
            .on_hover_text("All words have to occur in the name, the group or the size.");
        ui.add_space(4.0);
        let found = found(self.editor.catalogue().kinds.values(), &self.shelf.search);
        if found.is_empty() {
            ui.label("Nothing on the shelf matches. Try fewer words.");
            if ui
                .button("Clear search")
                .on_hover_text("Shows the whole shelf again.")
                .clicked()
            {
                self.shelf.search.clear();
            }
            return;
        }
        let searching = !self.shelf.search.trim().is_empty();
        let mut taken = None;
        egui::ScrollArea::vertical()
            .auto_shrink([false, false])
            .show(ui, |ui| {
                for group in Group::ALL {
                    let kinds: Vec<&Arc<PartKind>> =
                        found.iter().filter(|k| k.group == *group).collect();
                    if kinds.is_empty() {
                        continue;
                    }
                    let title = format!("{} ({})", group.words(), kinds.len());
                    egui::CollapsingHeader::new(RichText::new(title).strong())
                        .id_salt(("shelf", group.name()))
                        .open(searching.then_some(true))
                        .show(ui, |ui| {
                            for kind in kinds {
                                if self.entry(ui, kind) {
                                    taken = Some(kind.clone());
                                }
                            }
                        });
                }
            });
        if let Some(kind) = taken {
            // Keys belong to the held part now, not to the search.
            if let Some(focused) = ui.memory(|m| m.focused()) {
                ui.memory_mut(|m| m.surrender_focus(focused));
            }
            self.editor.handle(Event::Take(kind));
            self.sheet.from_shelf = ui.input(|i| i.pointer.primary_down());
        }
    }

    /// One line of the shelf; true where it is taken hold of.
    fn entry(&self, ui: &mut Ui, kind: &Arc<PartKind>) -> bool {
        let held = matches!(self.editor.tool(), Tool::Placing(p) if p.kind.id == kind.id);
        let width = ui.available_width();
        let response = ui
            .scope(|ui| {
                ui.set_max_width(width);
                let text = ui.style().text_styles[&egui::TextStyle::Body].clone();
                let small = ui.style().text_styles[&egui::TextStyle::Small].clone();
                let (name, size) = (kind.name.clone(), kind.size_text());
                let wrap = width - 16.0;
                let colour = ui.visuals().text_color();
                let weak = ui.visuals().weak_text_color();
                let (top, below) = ui.fonts_mut(|f| {
                    (
                        f.layout(name, text, colour, wrap),
                        f.layout(size, small, weak, wrap),
                    )
                });
                let height = top.size().y + below.size().y + 6.0;
                let (rect, response) =
                    ui.allocate_exact_size(egui::vec2(width, height), Sense::click_and_drag());
                if held || response.hovered() || response.has_focus() {
                    let widget = ui.style().interact_selectable(&response, held);
                    ui.painter().rect_filled(
                        rect,
                        egui::CornerRadius::same(2),
                        widget.weak_bg_fill,
                    );
                }
                let at = rect.min + egui::vec2(8.0, 2.0);
                let line = top.size().y;
                ui.painter().galley(at, top, colour);
                ui.painter()
                    .galley(at + egui::vec2(0.0, line + 1.0), below, weak);
                response
            })
            .inner;
        response.widget_info(|| {
            egui::WidgetInfo::selected(
                egui::Role::Button,
                true,
                held,
                format!("{} ({})", kind.name, kind.size_text()),
            )
        });
        let weak = kind
            .figures
            .iter()
            .filter(|f| f.confidence.is_weak())
            .count();
        let mut tip =
            "Drag it onto a view, or press and then click where it shall stand.".to_owned();
        if weak > 0 {
            tip += &format!("\n{weak} of its figures are weak: see the details once it is placed.");
        }
        let response = response.on_hover_text(tip);
        response.drag_started() || response.clicked()
    }
}

/// The kinds that match best: those that hold the whole text as it was typed, or in
/// whose name, group or size every word stands as a word of its own; else those in which
/// every word occurs somewhere.
fn found<'a>(kinds: impl Iterator<Item = &'a Arc<PartKind>>, search: &str) -> Vec<Arc<PartKind>> {
    let whole = apart(&search.trim().to_lowercase());
    let words: Vec<&str> = split(&whole).collect();
    let mut best = usize::MAX;
    let mut kept = Vec::new();
    for kind in kinds {
        let name = kind.name.to_lowercase();
        let text = format!("{name} {} {}", kind.group.words(), kind.size_text()).to_lowercase();
        let own: Vec<&str> = split(&text).collect();
        let rank = match () {
            () if text.contains(&whole) || words.iter().all(|w| own.contains(w)) => 0,
            () if words.iter().all(|w| text.contains(w)) => 1,
            () => continue,
        };
        if rank < best {
            best = rank;
            kept.clear();
        }
        if rank == best {
            kept.push(kind.clone());
        }
    }
    kept
}

/// '2x120' as '2 x 120', which is how sizes are written.
fn apart(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let digit = |i: Option<usize>| {
        i.and_then(|i| chars.get(i))
            .is_some_and(char::is_ascii_digit)
    };
    let mut out = String::with_capacity(text.len() + 4);
    for (i, c) in chars.iter().enumerate() {
        match *c {
            'x' | '×' if digit(i.checked_sub(1)) && digit(Some(i + 1)) => out.push_str(" x "),
            c => out.push(c),
        }
    }
    out
}

/// Words and numbers; a point belongs to its number.
fn split(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !(c.is_alphanumeric() || c == '.'))
        .filter(|w| !w.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_their_own_come_before_parts_of_words() {
        let catalogue = crate::file::assets::catalogue().expect("built-in data");
        let names = |search: &str| -> Vec<String> {
            let found = found(catalogue.kinds.values(), search);
            found.iter().map(|k| k.name.clone()).collect()
        };
        assert_eq!(names("").len(), catalogue.kinds.len());
        let typed = names("radiator, 2 x 120, 27");
        assert!(!typed.is_empty());
        for name in typed.iter().chain(&names("27 radiator 2 120")) {
            assert!(name.contains("2 x 120") && name.contains("27"), "{name}");
        }
        assert!(names("fan 120").iter().all(|n| n.contains("120")));
        assert!(names("fan 120").iter().any(|n| n.starts_with("fan, 120")));
        let close = names("radiator 2x120 hoses");
        assert!(!close.is_empty() && close.iter().all(|n| n.contains("2 x 120")));
        // While a word is still being typed, its beginning is enough.
        assert!(!names("radia 12").is_empty());
        assert!(names("no such thing").is_empty());
    }
}
