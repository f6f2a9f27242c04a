//! The window's dealings with files: jobs, their answers, closing.

use super::dialogs::After;
use super::files::{self, Answer, Job, Purpose};
use super::{App, Dialog, Draft};
use crate::export::{self, ExportError, Format, Meta, Page};
use crate::model::Scene;
use crate::rules::{Checker, Severity};
use crate::view::palette::{Palette, Rgba};
use crate::view::picture::{self, PictureOptions};
use eframe::egui::{self, ViewportCommand};
use std::path::PathBuf;

impl App {
    /// Shows another scene; the one at hand is forgotten.
    pub(super) fn show_scene(&mut self, scene: Scene, path: Option<PathBuf>) {
        self.editor.replace(scene);
        self.path = path;
        self.focus = None;
        self.look.cut = [None; 3];
        self.sheet.panel = None;
        self.variants.forget();
        self.search.another_scene();
        self.camera.fit();
    }

    pub(super) fn open_example(&mut self, index: usize) {
        let Some(example) = crate::file::examples().get(index) else {
            return;
        };
        match crate::file::read_scene(example.text.as_bytes(), self.editor.catalogue()) {
            Ok(scene) => {
                self.show_scene(scene, None);
                self.say(format!("Example: {}", example.about));
            }
            Err(e) => self.trouble(format!("The example cannot be read: {e}")),
        }
    }

    pub(super) fn trouble(&mut self, text: String) {
        self.dialog = Some(Dialog::Trouble(text));
    }

    /// As [`Self::trouble`], but a dialog that is open already stays.
    pub(super) fn tell_trouble(&mut self, text: String) {
        match self.dialog {
            Some(_) => self.say(text),
            None => self.trouble(text),
        }
    }

    pub(super) fn start(&mut self, job: Job) {
        self.job = Some(job);
    }

    pub(super) fn read(&mut self, path: PathBuf) {
        let Some(ctx) = self.ctx.clone() else { return };
        let catalogue = self.editor.catalogue().clone();
        self.start(Job::read(&ctx, path, catalogue));
    }

    pub(super) fn read_draft(&mut self, draft: Draft) {
        let Some(ctx) = self.ctx.clone() else { return };
        let catalogue = self.editor.catalogue().clone();
        self.start(Job::read_draft(&ctx, draft, catalogue));
    }

    /// Saves to the file at hand, or asks for one.
    pub fn save(&mut self) {
        self.editor.cancel_gesture();
        match self.path.clone() {
            Some(path) => self.write(path),
            None => self.ask_path(Purpose::Save),
        }
    }

    fn write(&mut self, path: PathBuf) {
        let Some(ctx) = self.ctx.clone() else { return };
        let scene = self.editor.scene().clone();
        let state = self.editor.history().state();
        self.start(Job::write(&ctx, path, scene, state));
    }

    /// Goes on with a path that was chosen or typed.
    pub(super) fn chosen(&mut self, purpose: Purpose, path: PathBuf) {
        match purpose {
            Purpose::Open => self.read(path),
            Purpose::Save => self.write(with_ending(path, "json")),
            Purpose::Export => self.write_picture(path),
            Purpose::Paper => self.write_paper(path),
            Purpose::Table => self.write_table(path),
            Purpose::Logo => self.take_logo(&path),
        }
    }

    /// Writes the comparison table; the ending decides between JSON and CSV.
    fn write_table(&mut self, path: PathBuf) {
        let (Some(ctx), Some(table)) = (self.ctx.clone(), self.compared()) else {
            return;
        };
        let path = with_ending(path, "csv");
        let json = path
            .extension()
            .is_some_and(|e| e.eq_ignore_ascii_case("json"));
        let job = Job::export(&ctx, path, move || {
            Ok(match json {
                true => format!("{:#}\n", table.json()).into_bytes(),
                false => crate::export::compared::csv(&table),
            })
        });
        self.start(job);
    }

    fn write_picture(&mut self, path: PathBuf) {
        let Some(ctx) = self.ctx.clone() else { return };
        let choice = self.look.export;
        // A path without a known ending gets that of the format chosen.
        let path = match Format::of(&path, choice.width_px) {
            Some(_) => path,
            None => path.with_extension(choice.format.ending()),
        };
        let format = Format::of(&path, choice.width_px).unwrap_or(Format::Svg);
        let scenes = match choice.scenes(self.editor.scene()) {
            Ok(scenes) => scenes,
            Err(why) => return self.trouble(why),
        };
        let settings = self.editor.settings().clone();
        let catalogue = self.editor.catalogue().clone();
        let palette = Palette::choose(choice.dark, self.look.contrast);
        let shop_file = self.shop_file.clone().filter(|f| f.is_file());
        let job = Job::export(&ctx, path, move || {
            let mut options = choice.options();
            if let Some(file) = shop_file {
                options.shop = Some(crate::file::read_shop(&file).map_err(|e| e.to_string())?);
            }
            let accent = options.shop.as_ref().and_then(|s| s.accent);
            let palette = palette.with_accent(accent.map(Rgba::rgb));
            let judged = |scene: &Scene| {
                let mut checker = Checker::new(settings.clone()).with_catalogue(catalogue.clone());
                checker.check_all(scene);
                checker
            };
            let (scene, before) = scenes;
            let checker = judged(&scene);
            let bytes = match before {
                None => picture_bytes(&scene, &checker, &options, &palette, format),
                Some(before) => {
                    let two = ((&before, &judged(&before)), (&scene, &checker));
                    compare_bytes(two.0, two.1, &options, &palette, format)
                }
            };
            bytes.map_err(|e| e.to_string())
        });
        self.start(job);
    }

    /// Takes the answer of the job under way, if it is there.
    pub(super) fn poll(&mut self) {
        let Some(answer) = self.job.as_ref().and_then(Job::poll) else {
            return;
        };
        self.job = None;
        match answer {
            Ok(Answer::Chosen(purpose, Some(path))) => self.chosen(purpose, path),
            Ok(Answer::Chosen(purpose, None)) => self.ask_typed(purpose),
            Ok(Answer::Read(path, scene)) => match *scene {
                Ok(scene) => {
                    self.recent.add(&path);
                    self.say(format!("Opened {}.", files::name(&path)));
                    self.show_scene(scene, Some(path));
                }
                Err(e) => self.trouble(format!("The scene was not opened: {e}.")),
            },
            Ok(Answer::Draft(draft, scene)) => match *scene {
                Ok(scene) => self.take_draft(draft, scene),
                // It stays where it is: another version may read it.
                Err(e) => self.trouble(format!("The unsaved work cannot be read: {e}.")),
            },
            Ok(Answer::Written(path, state, done)) => match done {
                Ok(()) => {
                    self.recent.add(&path);
                    self.say(format!("Saved {}.", files::name(&path)));
                    self.path = Some(path);
                    if self.editor.history().state() == state {
                        self.editor.mark_saved();
                    }
                    if let Some(after) = self.after_save.take() {
                        self.guard(after);
                    }
                }
                Err(e) => {
                    self.after_save = None;
                    self.trouble(format!("The scene was not saved: {e}."));
                }
            },
            Ok(Answer::Exported(path, done)) => match done {
                Ok(()) => {
                    let checker = self.editor.checker();
                    let open = checker.findings().into_iter().filter(|f| {
                        f.severity == Severity::Stop
                            && checker.is_accepted(self.editor.scene(), f).is_none()
                    });
                    let stops = open.count();
                    let mind = match stops {
                        0 => String::new(),
                        1 => " Mind: the arrangement at hand has a finding that stops it.".to_owned(),
                        n => format!(" Mind: the arrangement at hand has {n} findings that stop it."),
                    };
                    self.say(format!("Wrote {}.{mind}", path.display()));
                }
                Err(e) => self.trouble(format!("The file was not written: {e}.")),
            },
            Err(()) => self.trouble(
                "The work beside the window ended without an answer; nothing was changed. Try again."
                    .to_owned(),
            ),
        }
    }

    /// Opens a file that was dropped onto the window.
    pub(super) fn drops(&mut self, ctx: &egui::Context) {
        let path = ctx.input(|i| {
            let first = i.raw.dropped_files.first()?;
            Some(first.path().to_path_buf())
        });
        if let Some(path) = path {
            self.guard(After::Open(path));
        }
    }

    /// The window's title: file, and a mark while something is unsaved.
    pub(super) fn window_title(&mut self, ctx: &egui::Context) {
        let name = match &self.path {
            Some(path) => files::name(path),
            None => self.editor.scene().title.clone(),
        };
        let mark = if self.editor.history().is_clean() {
            ""
        } else {
            " (unsaved)"
        };
        let title = format!("{name}{mark} - Closefit");
        if title != self.last_title {
            ctx.send_viewport_cmd(ViewportCommand::Title(title.clone()));
            self.last_title = title;
        }
    }

    /// Asks about unsaved changes when the window is about to close.
    pub(super) fn closing(&mut self, ctx: &egui::Context) {
        let asked = ctx.input(|i| i.viewport().close_requested());
        if asked && !self.leave {
            if self.editor.history().is_clean() && self.job.is_none() {
                return;
            }
            ctx.send_viewport_cmd(ViewportCommand::CancelClose);
            self.guard(After::Quit);
        } else if self.quit {
            self.quit = false;
            self.guard(After::Quit);
        }
        if self.leave {
            ctx.send_viewport_cmd(ViewportCommand::Close);
        }
    }
}

fn with_ending(path: PathBuf, ending: &str) -> PathBuf {
    match path.extension() {
        Some(_) => path,
        None => path.with_extension(ending),
    }
}

/// A picture of a scene as the bytes of a file.
pub fn picture_bytes(
    scene: &Scene,
    checker: &Checker,
    options: &PictureOptions,
    palette: &Palette,
    format: Format,
) -> Result<Vec<u8>, ExportError> {
    let (list, (width, height)) = picture::picture(scene, checker, options);
    let meta = Meta {
        title: scene.title.clone(),
        description: format!("Planning picture of a build in: {}", scene.enclosure.name),
    };
    export::picture(&list, Page::new(width, height)?, palette, &meta, format)
}

/// Two arrangements in one picture as the bytes of a file.
pub fn compare_bytes(
    before: (&Scene, &Checker),
    after: (&Scene, &Checker),
    options: &PictureOptions,
    palette: &Palette,
    format: Format,
) -> Result<Vec<u8>, ExportError> {
    let (list, (width, height)) = picture::compare(before, after, options);
    let names = [before, after].map(|(s, _)| s.arrangement().name.clone());
    let meta = Meta {
        title: after.0.title.clone(),
        description: format!("Before: {}; after: {}", names[0], names[1]),
    };
    export::picture(&list, Page::new(width, height)?, palette, &meta, format)
}

/// Today's date as ISO 8601 writes it, in universal time.
pub fn today() -> String {
    let seconds = std::time::SystemTime::now()
        .duration_since(std::time::UNIX_EPOCH)
        .map_or(0, |d| d.as_secs());
    date((seconds / 86_400) as i64)
}

/// The proleptic Gregorian date of a day number, 0 being 1970-01-01.
fn date(days: i64) -> String {
    // Years are counted from March, so that the leap day ends them.
    let days = days + 719_468;
    let era = days.div_euclid(146_097);
    let day = days.rem_euclid(146_097);
    let year = (day - day / 1_460 + day / 36_524 - day / 146_096) / 365;
    let of_year = day - (365 * year + year / 4 - year / 100);
    let month = (5 * of_year + 2) / 153;
    let dom = of_year - (153 * month + 2) / 5 + 1;
    let month = if month < 10 { month + 3 } else { month - 9 };
    let year = year + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{dom:02}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_follow_the_calendar() {
        // Day numbers by `date -u -d @...` of GNU coreutils.
        assert_eq!(date(0), "1970-01-01");
        assert_eq!(date(11_016), "2000-02-29");
        assert_eq!(date(20_512), "2026-02-28");
        assert_eq!(date(20_513), "2026-03-01");
        assert_eq!(date(-1), "1969-12-31");
    }

    #[test]
    fn an_ending_is_added_only_where_there_is_none() {
        assert_eq!(
            with_ending(PathBuf::from("a/b"), "json"),
            PathBuf::from("a/b.json")
        );
        assert_eq!(
            with_ending(PathBuf::from("a/b.x"), "json"),
            PathBuf::from("a/b.x")
        );
    }
}
