//! What leaves the desk on paper: the build sheet, a list, a template.

use super::pick::{arrangements, pick};
use super::{App, Dialog};
use crate::app::files::{Job, Purpose};
use crate::export::paper::{
    ListFormat, TemplateFormat, is_html, list_bytes, sheet_bytes, template_bytes,
};
use crate::model::Scene;
use crate::paper::template::{Grille, Options, Subject};
use crate::paper::{Build, LISTS, Paper};
use crate::rules::Checker;
use eframe::egui::{Key, Modifiers, Ui};
use std::path::{Path, PathBuf};

/// Which paper.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum What {
    /// The build sheet.
    #[default]
    Sheet,
    /// One of the lists.
    List,
    /// A template of a zone or plate.
    Template,
}

/// What the user wants on paper.
#[derive(Clone, PartialEq, Debug)]
pub struct PaperChoice {
    /// Which arrangement, by its index.
    pub arrangement: usize,
    /// Sheet, list or template.
    pub what: What,
    /// The build sheet as HTML rather than PDF.
    pub html: bool,
    /// On Letter rather than A4.
    pub letter: bool,
    /// Which list.
    pub list: &'static str,
    /// The list as CSV, JSON or, for labels, as pages.
    pub format_of_list: ListFormat,
    /// Of which zone or plate.
    pub subject: Option<Subject>,
    /// The template as PDF, SVG or DXF.
    pub format: TemplateFormat,
    /// Seen from the other side.
    pub other_side: bool,
    /// Fan openings and vents as the usual grille.
    pub grille: bool,
}

impl Default for PaperChoice {
    fn default() -> PaperChoice {
        PaperChoice {
            arrangement: 0,
            what: What::Sheet,
            html: false,
            letter: false,
            list: "parts",
            format_of_list: ListFormat::Csv,
            subject: None,
            format: TemplateFormat::Pdf,
            other_side: false,
            grille: false,
        }
    }
}

impl PaperChoice {
    fn paper(&self) -> Paper {
        if self.letter {
            Paper::LETTER
        } else {
            Paper::A4
        }
    }

    /// The file's ending.
    pub fn ending(&self) -> &'static str {
        match self.what {
            What::Sheet if self.html => "html",
            What::Sheet => "pdf",
            What::List => match self.format_of_list {
                ListFormat::Csv => "csv",
                ListFormat::Json => "json",
                ListFormat::Pages => "pdf",
            },
            What::Template => match self.format {
                TemplateFormat::Pdf => "pdf",
                TemplateFormat::Svg => "svg",
                TemplateFormat::Dxf => "dxf",
            },
        }
    }

    /// What is added to the scene's name.
    fn suffix(&self) -> String {
        match (self.what, &self.subject) {
            (What::Sheet, _) => "build-sheet".to_owned(),
            (What::List, _) => self.list.to_owned(),
            (What::Template, Some(Subject::Zone(name) | Subject::Plate(name))) => {
                format!("template-{}", name.replace('/', "-"))
            }
            (What::Template, None) => "template".to_owned(),
        }
    }

    /// The bytes of the file. An ending that the kind of paper knows goes before the
    /// format that was chosen.
    fn bytes(&self, build: &Build<'_>, path: &Path) -> Result<Vec<u8>, String> {
        match self.what {
            What::Sheet => {
                let html = is_html(path).unwrap_or(self.html);
                sheet_bytes(build, self.paper(), html)
            }
            What::List => {
                let format = ListFormat::of(path).unwrap_or(self.format_of_list);
                list_bytes(build, self.list, format, self.paper())
            }
            What::Template => {
                let subject = self.subject.as_ref().ok_or("choose a zone or a plate")?;
                let options = Options {
                    other_side: self.other_side,
                    grille: self.grille.then_some(Grille::USUAL),
                };
                let format = TemplateFormat::of(path).unwrap_or(self.format);
                template_bytes(build, subject, options, self.paper(), format)
            }
        }
    }
}

/// Zones and plates of a scene with their words, the enclosure's first.
fn subjects(scene: &Scene) -> Vec<(Subject, String)> {
    let e = &scene.enclosure;
    let plates = e.plates.iter().map(|p| {
        let words = format!("plate: {}", p.name);
        (Subject::Plate(p.id.clone()), words)
    });
    let zones = e.zones.iter().map(|z| {
        let words = format!("zone: {}", z.name);
        (Subject::Zone(z.id.clone()), words)
    });
    let placed = |id| scene.arrangement().places.contains_key(id);
    let of_parts = scene.parts.iter().filter(|(id, _)| placed(id));
    let of_parts = of_parts.flat_map(|(id, part)| {
        part.kind.zones.iter().map(move |z| {
            let words = format!("zone: {} of {id}", z.name);
            (Subject::Zone(format!("{id}/{}", z.id)), words)
        })
    });
    plates.chain(zones).chain(of_parts).collect()
}

impl App {
    /// Asks what paper is written.
    pub fn ask_paper(&mut self) {
        self.editor.cancel_gesture();
        let mut choice = self.look.paper.clone();
        choice.arrangement = self.editor.scene().current;
        self.known_subjects(&mut choice);
        self.dialog = Some(Dialog::Paper(choice));
    }

    /// Zones and plates of the chosen arrangement; the choice is made one of them.
    fn known_subjects(&self, choice: &mut PaperChoice) -> Vec<(Subject, String)> {
        let scene = self.editor.scene();
        let known = match scene.showing(choice.arrangement) {
            Some(other) if choice.arrangement != scene.current => subjects(&other),
            _ => subjects(scene),
        };
        let chosen = choice.subject.as_ref();
        if !known.iter().any(|(s, _)| Some(s) == chosen) {
            choice.subject = known.first().map(|(s, _)| s.clone());
        }
        known
    }

    pub(super) fn paper_choice(&mut self, ui: &mut Ui, choice: &mut PaperChoice) -> bool {
        // Enter in a field ends that field only.
        let typing = ui.ctx().text_edit_focused();
        ui.heading("Export for the bench");
        ui.label("From what the scene knows; what it does not know is left open.");
        ui.add_space(8.0);
        let all = arrangements(self.editor.scene());
        if all.len() > 1 {
            ui.horizontal(|ui| {
                let about = ("Arrangement", "Which of them is meant.");
                pick(ui, about, 290.0, &mut choice.arrangement, &all);
            });
            ui.add_space(8.0);
        }
        ui.radio_value(&mut choice.what, What::Sheet, "Build sheet")
            .on_hover_text(
                "Parts, zones, screws, leads, sockets, fans, checks, fields to fill in.",
            );
        ui.radio_value(&mut choice.what, What::List, "List")
            .on_hover_text(
                "Parts, screws, leads, sockets or labels, for a spreadsheet or a program.",
            );
        ui.radio_value(&mut choice.what, What::Template, "Drill and cut template")
            .on_hover_text("Of a zone or plate at full size, with a line to measure.");
        ui.separator();
        match choice.what {
            What::Sheet => {
                ui.horizontal(|ui| {
                    ui.radio_value(&mut choice.html, false, "PDF")
                        .on_hover_text("To print; readable without colour.");
                    ui.radio_value(&mut choice.html, true, "HTML")
                        .on_hover_text("For a tablet: ticks off and keeps it, without a network.");
                });
            }
            What::List => list_ui(ui, choice),
            What::Template => self.template_ui(ui, choice),
        }
        let on_paper = choice.ending() == "pdf";
        if on_paper {
            ui.horizontal(|ui| {
                ui.radio_value(&mut choice.letter, false, "A4")
                    .on_hover_text("210 x 297 mm.");
                ui.radio_value(&mut choice.letter, true, "Letter")
                    .on_hover_text("8.5 x 11 in.");
            });
        }
        ui.add_space(12.0);
        let mut stay = true;
        ui.horizontal(|ui| {
            let enter = !typing && ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Enter));
            let go = ui.button("Choose a file…");
            let go = go.on_hover_text("Asks where to write it. [Enter]");
            if go.clicked() || enter {
                self.look.paper = choice.clone();
                self.ask_path(Purpose::Paper);
                stay = false;
            }
            let cancel = ui.button("Cancel").on_hover_text("Writes nothing.");
            if cancel.clicked() {
                stay = false;
            }
        });
        stay
    }

    fn template_ui(&mut self, ui: &mut Ui, choice: &mut PaperChoice) {
        let known = self.known_subjects(choice).into_iter();
        let known: Vec<_> = known.map(|(s, words)| (Some(s), words)).collect();
        let about = (
            "Of",
            "Plates are seen from outside, zones from where the part goes.",
        );
        pick(ui, about, 380.0, &mut choice.subject, &known);
        ui.checkbox(&mut choice.other_side, "from the other side")
            .on_hover_text("For drilling from the back of the sheet.");
        ui.checkbox(&mut choice.grille, "fan openings and vents as a grille")
            .on_hover_text("Round holes of 5 mm with bars of 1.5 mm; the free area is printed.");
        ui.horizontal(|ui| {
            ui.radio_value(&mut choice.format, TemplateFormat::Pdf, "PDF")
                .on_hover_text("Sheets with overlap and crop marks, to tape together.");
            ui.radio_value(&mut choice.format, TemplateFormat::Svg, "SVG")
                .on_hover_text("One page at full size.");
            ui.radio_value(&mut choice.format, TemplateFormat::Dxf, "DXF")
                .on_hover_text("For mills and lasers, in millimetres.");
        });
    }

    /// Where paper goes unless told otherwise: beside the scene.
    pub(in crate::app) fn paper_path(&self) -> PathBuf {
        let base = self.picture_path();
        let stem = base
            .file_stem()
            .map_or_else(String::new, |s| s.to_string_lossy().into_owned());
        let choice = &self.look.paper;
        base.with_file_name(format!("{stem}-{}.{}", choice.suffix(), choice.ending()))
    }

    /// Writes the paper that was chosen.
    pub(in crate::app) fn write_paper(&mut self, path: PathBuf) {
        let Some(ctx) = self.ctx.clone() else { return };
        let choice = self.look.paper.clone();
        let path = match path.extension() {
            Some(_) => path,
            None => path.with_extension(choice.ending()),
        };
        let Some(scene) = self.editor.scene().showing(choice.arrangement) else {
            return self.trouble("The arrangement that was chosen is gone.".to_owned());
        };
        let settings = self.editor.settings().clone();
        let catalogue = self.editor.catalogue().clone();
        let target = path.clone();
        let job = Job::export(&ctx, path, move || {
            let mut checker = Checker::new(settings).with_catalogue(catalogue);
            checker.check_all(&scene);
            choice.bytes(&Build::of(&scene, &checker), &target)
        });
        self.start(job);
    }
}

fn list_ui(ui: &mut Ui, choice: &mut PaperChoice) {
    let all: Vec<_> = LISTS
        .iter()
        .map(|list| (list.id, format!("{}: {}", list.id, list.about)))
        .collect();
    let about = ("Which", "Each is a table of its own.");
    pick(ui, about, 380.0, &mut choice.list, &all);
    let labels = choice.list == "labels";
    let format = &mut choice.format_of_list;
    if !labels && *format == ListFormat::Pages {
        *format = ListFormat::Csv;
    }
    ui.horizontal(|ui| {
        ui.radio_value(format, ListFormat::Csv, "CSV")
            .on_hover_text("For spreadsheets.");
        ui.radio_value(format, ListFormat::Json, "JSON")
            .on_hover_text("For programs.");
        ui.add_enabled_ui(labels, |ui| {
            ui.radio_value(format, ListFormat::Pages, "PDF")
                .on_hover_text("Labels of leads and parts, to print and to cut.")
                .on_disabled_hover_text("Labels only: the build sheet prints the other lists.");
        });
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ending_follows_the_choice() {
        let mut choice = PaperChoice::default();
        assert_eq!(
            (choice.ending(), choice.suffix().as_str()),
            ("pdf", "build-sheet")
        );
        choice.html = true;
        assert_eq!(choice.ending(), "html");
        choice.what = What::List;
        assert_eq!(
            (choice.ending(), choice.suffix().as_str()),
            ("csv", "parts")
        );
        choice.what = What::Template;
        choice.format = TemplateFormat::Dxf;
        choice.subject = Some(Subject::Zone("radiator/fans-b".to_owned()));
        assert_eq!(
            (choice.ending(), choice.suffix().as_str()),
            ("dxf", "template-radiator-fans-b")
        );
    }
}
