//! What leaves the desk on paper: the build sheet, a list, a template.

use super::{App, Dialog};
use crate::app::files::{Job, Purpose};
use crate::export::paper::{TemplateFormat, is_html, list_bytes, sheet_bytes, template_bytes};
use crate::model::Scene;
use crate::paper::template::{Grille, Options, Subject};
use crate::paper::{Build, LISTS, Paper};
use crate::rules::Checker;
use eframe::egui::{ComboBox, Key, Modifiers, Ui};
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
    /// Sheet, list or template.
    pub what: What,
    /// The build sheet as HTML rather than PDF.
    pub html: bool,
    /// On Letter rather than A4.
    pub letter: bool,
    /// Which list.
    pub list: &'static str,
    /// The list as JSON rather than CSV.
    pub json: bool,
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
            what: What::Sheet,
            html: false,
            letter: false,
            list: "parts",
            json: false,
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
            What::List if self.json => "json",
            What::List => "csv",
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
                let json = path
                    .extension()
                    .is_some_and(|e| e.eq_ignore_ascii_case("json"));
                Ok(list_bytes(build, self.list, json))
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
        let known = subjects(self.editor.scene());
        if !known
            .iter()
            .any(|(s, _)| Some(s) == choice.subject.as_ref())
        {
            choice.subject = known.into_iter().next().map(|(s, _)| s);
        }
        self.dialog = Some(Dialog::Paper(choice));
    }

    pub(super) fn paper_choice(&mut self, ui: &mut Ui, choice: &mut PaperChoice) -> bool {
        ui.heading("Export for the bench");
        ui.label("Of the arrangement at hand, from what the scene knows.");
        ui.add_space(8.0);
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
            let enter = ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Enter));
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
        let known = subjects(self.editor.scene());
        let words = |s: &Option<Subject>| {
            let found = known.iter().find(|(k, _)| Some(k) == s.as_ref());
            found.map_or("nothing to choose".to_owned(), |(_, w)| w.clone())
        };
        let label = ui.label("Of");
        ComboBox::from_id_salt("template-of")
            .width(380.0)
            .selected_text(words(&choice.subject))
            .show_ui(ui, |ui| {
                for (subject, words) in &known {
                    let value = Some(subject.clone());
                    ui.selectable_value(&mut choice.subject, value, words);
                }
            })
            .response
            .labelled_by(label.id)
            .on_hover_text("Plates are seen from outside, zones from where the part goes.");
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
        let scene = self.editor.scene().clone();
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
    let label = ui.label("Which");
    ComboBox::from_id_salt("list-of")
        .width(380.0)
        .selected_text(choice.list)
        .show_ui(ui, |ui| {
            for list in LISTS {
                let words = format!("{}: {}", list.id, list.about);
                ui.selectable_value(&mut choice.list, list.id, words);
            }
        })
        .response
        .labelled_by(label.id)
        .on_hover_text("Each is a table of its own.");
    ui.horizontal(|ui| {
        ui.radio_value(&mut choice.json, false, "CSV")
            .on_hover_text("For spreadsheets.");
        ui.radio_value(&mut choice.json, true, "JSON")
            .on_hover_text("For programs.");
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
