//! Unsaved work outlives the program: while a scene has unsaved changes a copy of it
//! lies in the user's configuration folder, and a start after a crash, a kill or a
//! power cut offers it.
//!
//! Each window holds a lock on a small file beside its copy. The system gives up the
//! lock with the process, so a lock that can be had belongs to a window that is gone.

use super::{App, Dialog, files};
use crate::editor::tool::Tool;
use crate::file;
use crate::model::Scene;
use eframe::egui::{self, Ui};
use std::fs::File;
use std::io::{Read as _, Seek as _, Write as _};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};

/// Least time from one copy to the next.
const EVERY: Duration = Duration::from_secs(8);

/// What a window that is gone left behind.
#[derive(Debug)]
pub struct Draft {
    /// The copy of the scene.
    pub scene: PathBuf,
    /// The file that the scene had, where it had one.
    pub path: Option<PathBuf>,
    lock: File,
    lock_path: PathBuf,
}

/// The copy of unsaved work that this window keeps. Trouble with it is no reason to
/// stop anybody's work, so what fails here is tried again and never said.
#[derive(Default)]
pub struct Drafts {
    /// `None` keeps no copies (tests, no home).
    folder: Option<PathBuf>,
    held: Option<Draft>,
    /// The state of the history that lies in the copy.
    kept: Option<u64>,
    last: Option<Instant>,
    work: Option<(Receiver<bool>, u64)>,
    /// Left by windows that are gone, not offered yet.
    found: Vec<Draft>,
}

impl Drafts {
    /// Copies in a folder; those that others left there are found.
    pub fn at(folder: Option<PathBuf>) -> Drafts {
        let found = folder.as_deref().map(abandoned).unwrap_or_default();
        Drafts {
            folder,
            found,
            ..Drafts::default()
        }
    }

    fn hold(&mut self) -> Option<&mut Draft> {
        if self.held.is_none() {
            let folder = self.folder.as_deref()?;
            std::fs::create_dir_all(folder).ok()?;
            // A name that is taken belongs to somebody else.
            self.held = (0..1_000).find_map(|n| {
                let lock_path = folder.join(format!("draft-{n}.lock"));
                let lock = File::options()
                    .read(true)
                    .write(true)
                    .create_new(true)
                    .open(&lock_path)
                    .ok()?;
                lock.try_lock().ok()?;
                Some(Draft {
                    scene: lock_path.with_extension("json"),
                    path: None,
                    lock,
                    lock_path,
                })
            });
        }
        self.held.as_mut()
    }

    /// Forgets the copy: its work is saved, or dropped on purpose.
    fn clear(&mut self) {
        if let Some(draft) = self.held.take() {
            draft.remove();
        }
        (self.kept, self.last) = (None, None);
    }
}

impl Draft {
    fn name_original(&mut self, path: Option<&Path>) -> std::io::Result<()> {
        let text = path.map_or(String::new(), |p| p.display().to_string());
        self.lock.rewind()?;
        self.lock.set_len(0)?;
        self.lock.write_all(text.as_bytes())
    }

    fn remove(self) {
        _ = std::fs::remove_file(&self.scene);
        _ = std::fs::remove_file(&self.lock_path);
    }
}

/// What windows left that are gone; locks without a copy are cleared away.
fn abandoned(folder: &Path) -> Vec<Draft> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut locks: Vec<PathBuf> = entries
        .flatten()
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|e| e == "lock"))
        .collect();
    locks.sort();
    let mut found = Vec::new();
    for lock_path in locks {
        let Ok(mut lock) = File::options().read(true).write(true).open(&lock_path) else {
            continue;
        };
        if lock.try_lock().is_err() {
            continue;
        }
        let mut text = String::new();
        _ = (&mut lock).take(65_536).read_to_string(&mut text);
        let draft = Draft {
            scene: lock_path.with_extension("json"),
            path: (!text.is_empty()).then(|| PathBuf::from(text)),
            lock,
            lock_path,
        };
        match draft.scene.is_file() {
            true => found.push(draft),
            false => draft.remove(),
        }
    }
    found
}

impl App {
    /// Keeps copies of unsaved work in a folder, and offers what was left there.
    pub fn with_drafts(mut self, folder: Option<PathBuf>) -> App {
        self.drafts = Drafts::at(folder);
        self.offer_draft();
        self
    }

    fn offer_draft(&mut self) {
        if let Some(draft) = self.drafts.found.pop() {
            self.dialog = Some(Dialog::Draft(Some(draft)));
        }
    }

    /// Writes a copy beside the window when there is unsaved work that is in none.
    pub(super) fn keep_draft(&mut self, ctx: &egui::Context) {
        if self.drafts.folder.is_none() {
            return;
        }
        if let Some((answer, state)) = &self.drafts.work {
            match answer.try_recv() {
                Err(TryRecvError::Empty) => return,
                Ok(true) => self.drafts.kept = Some(*state),
                Ok(false) | Err(TryRecvError::Disconnected) => {}
            }
            self.drafts.work = None;
        }
        if self.editor.history().is_clean() || self.leave {
            self.drafts.clear();
            return;
        }
        let state = self.editor.history().state();
        if self.drafts.kept == Some(state) || !matches!(self.editor.tool(), Tool::Idle) {
            return;
        }
        let now = Instant::now();
        let since = self.drafts.last.map_or(EVERY, |last| now - last);
        if since < EVERY {
            ctx.request_repaint_after(EVERY - since);
            return;
        }
        self.drafts.last = Some(now);
        let original = self.path.clone();
        let Some(draft) = self.drafts.hold() else {
            return;
        };
        _ = draft.name_original(original.as_deref());
        let to = draft.scene.clone();
        let scene = self.editor.scene().clone();
        let (send, answer) = channel();
        let ctx = ctx.clone();
        std::thread::spawn(move || {
            _ = send.send(file::save(&to, &scene).is_ok());
            ctx.request_repaint();
        });
        self.drafts.work = Some((answer, state));
    }

    /// Shows the scene of a draft as unsaved work; the draft is kept until it is saved.
    pub(super) fn take_draft(&mut self, draft: Draft, scene: Scene) {
        self.drafts.clear();
        let path = draft.path.clone();
        self.show_scene(scene, path);
        self.editor.mark_unsaved();
        self.drafts.held = Some(draft);
        self.say("Taken up where it was left; save it to keep it.".to_owned());
        self.offer_draft();
    }

    pub(super) fn draft(&mut self, ui: &mut Ui, draft: &mut Option<Draft>) -> bool {
        let Some(left) = draft else { return false };
        ui.heading("Unsaved work was left");
        let of = match &left.path {
            Some(path) => format!("changes to {}", files::name(path)),
            None => "a scene without a file".to_owned(),
        };
        let when = std::fs::metadata(&left.scene).and_then(|m| m.modified());
        let ago = when
            .ok()
            .and_then(|t| t.elapsed().ok())
            .map_or_else(String::new, |d| format!(", kept {} ago", span(d)));
        ui.label(format!("The program ended before it was saved: {of}{ago}."));
        ui.add_space(12.0);
        let mut stay = true;
        ui.horizontal(|ui| {
            let open = ui.button("Take it up");
            if open
                .on_hover_text("Shows it as unsaved work; the file it came from is not touched.")
                .clicked()
                && let Some(left) = draft.take()
            {
                self.read_draft(left);
                stay = false;
            }
            let drop = ui.button("Drop it");
            if drop.on_hover_text("Deletes the copy for good.").clicked()
                && let Some(left) = draft.take()
            {
                left.remove();
                self.offer_draft();
                stay = false;
            }
            let later = ui.button("Later");
            stay &= !later
                .on_hover_text("Leaves it where it is; the next start asks again.")
                .clicked();
        });
        stay
    }
}

/// A time in the unit that a person would use.
fn span(time: Duration) -> String {
    let say = |n: u64, unit: &str| match n {
        1 => format!("1 {unit}"),
        n => format!("{n} {unit}s"),
    };
    match time.as_secs() {
        s @ 0..=90 => say(s, "second"),
        s @ 91..=5_400 => say(s / 60, "minute"),
        s @ 5_401..=172_800 => say(s / 3_600, "hour"),
        s => say(s / 86_400, "day"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder(name: &str) -> PathBuf {
        let at = std::env::temp_dir().join(format!("closefit-{name}-{}", std::process::id()));
        _ = std::fs::remove_dir_all(&at);
        at
    }

    #[test]
    fn a_window_at_work_is_not_asked_for_its_copy_and_a_gone_one_is() {
        let at = folder("drafts");
        let mut first = Drafts::at(Some(at.clone()));
        let held = first.hold().unwrap();
        std::fs::write(&held.scene, "{}").unwrap();
        held.name_original(Some(Path::new("/somewhere/a.json")))
            .unwrap();
        held.name_original(Some(Path::new("/b.json"))).unwrap();
        assert!(Drafts::at(Some(at.clone())).found.is_empty());
        // A second window has a copy of its own.
        let mut second = Drafts::at(Some(at.clone()));
        assert_ne!(second.hold().unwrap().scene, first.hold().unwrap().scene);
        // The first is gone without a word, the second ends as it should.
        drop(first);
        second.clear();
        let found = Drafts::at(Some(at.clone())).found;
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].path.as_deref(), Some(Path::new("/b.json")));
        found.into_iter().for_each(Draft::remove);
        assert_eq!(std::fs::read_dir(&at).unwrap().count(), 0);
        std::fs::remove_dir_all(&at).unwrap();
    }

    #[test]
    fn times_are_said_in_their_unit() {
        let said = |s| span(Duration::from_secs(s));
        assert_eq!(said(1), "1 second");
        assert_eq!(said(120), "2 minutes");
        assert_eq!(said(7_200), "2 hours");
        assert_eq!(said(259_200), "3 days");
    }
}
