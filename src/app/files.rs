//! Opening, saving and exporting beside the window: a job runs on its own thread
//! and answers through a channel, so that the window never waits for a disk.

use super::Draft;
use crate::file::{self, FileError};
use crate::model::{Catalogue, Scene};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};

/// What a job answers.
pub enum Answer {
    /// A file was chosen in the native dialog, or (`None`) none was: cancelled, or
    /// there is no dialog service; the two cannot be told apart.
    Chosen(Purpose, Option<PathBuf>),
    /// A scene was read.
    Read(PathBuf, Box<Result<Scene, FileError>>),
    /// The copy of unsaved work was read.
    Draft(Draft, Box<Result<Scene, FileError>>),
    /// A scene was written; the number is the history state that was saved.
    Written(PathBuf, u64, Result<(), FileError>),
    /// A picture was written.
    Exported(PathBuf, Result<(), String>),
}

/// What a path is asked for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Purpose {
    /// To read a scene.
    Open,
    /// To write the scene.
    Save,
    /// To write a picture.
    Export,
    /// To write a build sheet, a list or a template.
    Paper,
    /// To write the comparison table.
    Table,
}

impl Purpose {
    /// Title of the dialog.
    pub const fn title(self) -> &'static str {
        match self {
            Purpose::Open => "Open a scene",
            Purpose::Save => "Save the scene as",
            Purpose::Export => "Write a picture",
            Purpose::Paper => "Write for the bench",
            Purpose::Table => "Write the comparison table",
        }
    }
}

/// A job under way.
pub struct Job {
    /// What it is about, for the status line.
    pub label: String,
    answers: Receiver<Answer>,
}

impl Job {
    fn start(
        ctx: &eframe::egui::Context,
        label: String,
        work: impl FnOnce() -> Answer + Send + 'static,
    ) -> Job {
        let (send, answers) = channel();
        let ctx = ctx.clone();
        std::thread::spawn(move || {
            // A window that has closed takes no answer.
            _ = send.send(work());
            ctx.request_repaint();
        });
        Job { label, answers }
    }

    /// The answer, once it is there. A job that died answers nothing: `Err`.
    pub fn poll(&self) -> Option<Result<Answer, ()>> {
        use std::sync::mpsc::TryRecvError;
        match self.answers.try_recv() {
            Ok(answer) => Some(Ok(answer)),
            Err(TryRecvError::Empty) => None,
            Err(TryRecvError::Disconnected) => Some(Err(())),
        }
    }

    /// Asks the native dialog for a path.
    pub fn ask(ctx: &eframe::egui::Context, purpose: Purpose, near: Option<PathBuf>) -> Job {
        Job::start(ctx, "waiting for the file dialog".to_owned(), move || {
            let mut dialog = rfd::FileDialog::new().set_title(purpose.title());
            if let Some(folder) = near.as_deref().and_then(Path::parent)
                && folder.is_dir()
            {
                dialog = dialog.set_directory(folder);
            }
            if let Some(name) = near.as_deref().and_then(Path::file_name) {
                dialog = dialog.set_file_name(name.to_string_lossy());
            }
            let chosen = match purpose {
                Purpose::Open => dialog.add_filter("scene", &["json"]).pick_file(),
                Purpose::Save => dialog.add_filter("scene", &["json"]).save_file(),
                Purpose::Table => dialog.add_filter("table", &["csv", "json"]).save_file(),
                Purpose::Export => dialog
                    .add_filter("picture", &["png", "svg", "pdf"])
                    .save_file(),
                Purpose::Paper => dialog
                    .add_filter("paper", &["pdf", "html", "csv", "json", "svg", "dxf"])
                    .save_file(),
            };
            Answer::Chosen(purpose, chosen)
        })
    }

    /// Reads a scene.
    pub fn read(ctx: &eframe::egui::Context, path: PathBuf, catalogue: Arc<Catalogue>) -> Job {
        Job::start(ctx, format!("opening {}", name(&path)), move || {
            let scene = file::open(&path, &catalogue);
            Answer::Read(path, Box::new(scene))
        })
    }

    /// Reads the copy of unsaved work.
    pub fn read_draft(ctx: &eframe::egui::Context, draft: Draft, catalogue: Arc<Catalogue>) -> Job {
        Job::start(ctx, "opening what was left".to_owned(), move || {
            let scene = file::open(&draft.scene, &catalogue);
            Answer::Draft(draft, Box::new(scene))
        })
    }

    /// Writes a scene.
    pub fn write(ctx: &eframe::egui::Context, path: PathBuf, scene: Scene, state: u64) -> Job {
        Job::start(ctx, format!("saving {}", name(&path)), move || {
            let done = file::save(&path, &scene);
            Answer::Written(path, state, done)
        })
    }

    /// Makes a picture and writes it.
    pub fn export(
        ctx: &eframe::egui::Context,
        path: PathBuf,
        make: impl FnOnce() -> Result<Vec<u8>, String> + Send + 'static,
    ) -> Job {
        Job::start(ctx, format!("writing {}", name(&path)), move || {
            let done = make()
                .and_then(|bytes| file::write_bytes(&path, &bytes).map_err(|e| e.to_string()));
            Answer::Exported(path, done)
        })
    }
}

/// The file's name without its folder.
pub fn name(path: &Path) -> String {
    path.file_name().map_or_else(
        || path.display().to_string(),
        |n| n.to_string_lossy().into_owned(),
    )
}

/// The program's folder among the user's settings; `None` where there is no home.
fn own_folder() -> Option<PathBuf> {
    let folder = std::env::var_os("XDG_CONFIG_HOME")
        .map(PathBuf::from)
        .or_else(|| Some(PathBuf::from(std::env::var_os("HOME")?).join(".config")))
        .or_else(|| std::env::var_os("APPDATA").map(PathBuf::from));
    folder.map(|f| f.join("closefit"))
}

/// Where copies of unsaved work lie.
pub fn drafts_folder() -> Option<PathBuf> {
    own_folder().map(|f| f.join("unsaved"))
}

/// Where the shop's name, logo and colour are kept.
pub fn shop_file() -> Option<PathBuf> {
    own_folder().map(|f| f.join("shop.json"))
}

/// Most recent files kept.
const RECENT: usize = 8;

/// Files opened or saved lately, the latest first; kept in the user's
/// configuration folder. Losing the list is harmless, so errors are ignored.
#[derive(Default)]
pub struct Recent {
    paths: Vec<PathBuf>,
    store: Option<PathBuf>,
}

impl Recent {
    /// The list kept on this machine.
    pub fn load() -> Recent {
        Recent::at(own_folder().map(|f| f.join("recent.txt")))
    }

    /// The list kept in a given file; `None` keeps it in memory only.
    pub fn at(store: Option<PathBuf>) -> Recent {
        let text = store
            .as_ref()
            .and_then(|p| std::fs::read_to_string(p).ok())
            .unwrap_or_default();
        let paths = text.lines().take(RECENT).map(PathBuf::from).collect();
        Recent { paths, store }
    }

    /// The files, the latest first.
    pub fn paths(&self) -> &[PathBuf] {
        &self.paths
    }

    /// Puts a file first.
    pub fn add(&mut self, path: &Path) {
        let path = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
        self.paths.retain(|p| *p != path);
        self.paths.insert(0, path);
        self.paths.truncate(RECENT);
        if let Some(store) = &self.store {
            let text: Vec<String> = self.paths.iter().map(|p| p.display().to_string()).collect();
            if let Some(folder) = store.parent() {
                _ = std::fs::create_dir_all(folder);
            }
            _ = std::fs::write(store, text.join("\n"));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn recent_files_keep_their_order_and_number() {
        let mut recent = Recent::at(None);
        for i in 0..12 {
            recent.add(Path::new(&format!("/scenes/{i}.json")));
        }
        recent.add(Path::new("/scenes/7.json"));
        assert_eq!(recent.paths().len(), RECENT);
        assert_eq!(recent.paths()[0], Path::new("/scenes/7.json"));
        assert_eq!(recent.paths()[1], Path::new("/scenes/11.json"));
    }
}
