//! Saving: whole or not at all, whatever happens.

use super::scenes;
use crate::catalogue::catalogue;
use closefit::file::{self, FileError};
use closefit::geom::{Length, Vec3};
use closefit::model::{Catalogue, PartId, Place, Scene};
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// A fresh folder that goes away with the test.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Folder {
        let path =
            Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Folder(path)
    }

    fn join(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }

    fn names(&self) -> Vec<String> {
        let entries = fs::read_dir(&self.0).unwrap().flatten();
        let mut names: Vec<String> = entries
            .map(|e| e.file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn scene(catalogue: &Catalogue) -> Scene {
    // Any numbers do; these give several parts and cables.
    let choices: Vec<u32> = (0u32..400)
        .map(|i| i.wrapping_mul(2_654_435_761) >> 7)
        .collect();
    scenes::scene(&choices, catalogue)
}

fn io_kind(err: &FileError) -> ErrorKind {
    match err {
        FileError::Io { kind, .. } => *kind,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_saved_scene_opens_again_and_leaves_nothing_else_behind() {
    let (folder, catalogue) = (Folder::new("save"), catalogue());
    let path = folder.join("scene.json");
    let mut scene = scene(catalogue);
    file::save(&path, &scene).unwrap();
    assert_eq!(file::open(&path, catalogue).unwrap(), scene);
    scene.title = "another".to_owned();
    file::save(&path, &scene).unwrap();
    assert_eq!(file::open(&path, catalogue).unwrap(), scene);
    assert_eq!(folder.names(), ["scene.json"]);
}

#[test]
fn a_draft_of_a_killed_save_neither_blocks_nor_is_taken_for_the_scene() {
    let (folder, catalogue) = (Folder::new("stale"), catalogue());
    let path = folder.join("scene.json");
    let scene = scene(catalogue);
    // The very names that this process would take next.
    for n in 1..4 {
        let draft = format!(".scene.json.{}-{n}.draft", std::process::id());
        fs::write(folder.join(&draft), "{\"format\":\"closefit-sc").unwrap();
    }
    file::save(&path, &scene).unwrap();
    assert_eq!(file::open(&path, catalogue).unwrap(), scene);
    assert_eq!(folder.names().len(), 4, "drafts of others are left alone");
}

#[test]
fn a_scene_that_would_not_open_again_is_not_saved() {
    let (folder, catalogue) = (Folder::new("unsound"), catalogue());
    let path = folder.join("scene.json");
    fs::write(&path, "precious").unwrap();
    let mut far = scene(catalogue);
    let part = far.parts.keys().next().unwrap().clone();
    let place = Place::at(Vec3::new(Length::mm(100_001), Length::ZERO, Length::ZERO));
    far.arrangements[0].places.insert(part, place);
    let err = file::save(&path, &far).unwrap_err();
    assert_eq!(
        err.field(),
        Some("arrangements[0].places[0].at[0]"),
        "{err}"
    );
    let mut lost = scene(catalogue);
    lost.arrangements[0]
        .places
        .insert(PartId::new("nobody").unwrap(), Place::default());
    let err = file::save(&path, &lost).unwrap_err();
    assert!(err.to_string().contains("no part 'nobody'"), "{err}");
    assert_eq!(fs::read_to_string(&path).unwrap(), "precious");
    assert_eq!(folder.names(), ["scene.json"]);
}

#[test]
fn parts_of_one_kind_must_share_it() {
    let (folder, catalogue) = (Folder::new("kinds"), catalogue());
    let mut scene = scene(catalogue);
    let (id, first) = scene.parts.iter().next().unwrap();
    let (id, mut twin) = (id.clone(), first.clone());
    let mut other = (*twin.kind).clone();
    other.name.push_str(" changed");
    twin.kind = std::sync::Arc::new(other);
    scene.parts.insert(PartId::new("twin").unwrap(), twin);
    let err = file::save(&folder.join("scene.json"), &scene).unwrap_err();
    assert!(err.field().unwrap().starts_with("parts["), "{err} ({id})");
    assert_eq!(folder.names(), [""; 0]);
}

#[test]
fn a_folder_in_the_way_and_a_missing_folder_are_errors() {
    let (folder, catalogue) = (Folder::new("way"), catalogue());
    let scene = scene(catalogue);
    let err = file::save(&folder.0, &scene).unwrap_err();
    assert_eq!(io_kind(&err), ErrorKind::IsADirectory);
    let err = file::save(&folder.join("no/scene.json"), &scene).unwrap_err();
    assert_eq!(io_kind(&err), ErrorKind::NotFound);
    assert!(err.to_string().contains("make the folder"), "{err}");
    let err = file::save(&folder.join(".."), &scene).unwrap_err();
    assert_eq!(io_kind(&err), ErrorKind::IsADirectory);
    assert_eq!(folder.names(), [""; 0]);
}

#[test]
fn a_write_protected_file_stays() {
    let (folder, catalogue) = (Folder::new("protected"), catalogue());
    let path = folder.join("scene.json");
    fs::write(&path, "precious").unwrap();
    let mut permissions = fs::metadata(&path).unwrap().permissions();
    permissions.set_readonly(true);
    fs::set_permissions(&path, permissions).unwrap();
    let err = file::save(&path, &scene(catalogue)).unwrap_err();
    assert_eq!(io_kind(&err), ErrorKind::PermissionDenied);
    assert!(
        err.to_string()
            .contains("save to a place that may be written"),
        "{err}"
    );
    assert_eq!(fs::read_to_string(&path).unwrap(), "precious");
    assert_eq!(folder.names(), ["scene.json"]);
}

#[cfg(unix)]
mod unix {
    use super::*;
    use std::os::unix::fs::{PermissionsExt, symlink};
    use std::process::Command;

    #[test]
    fn permissions_are_kept() {
        let (folder, catalogue) = (Folder::new("mode"), catalogue());
        let path = folder.join("scene.json");
        for mode in [0o600, 0o640, 0o666] {
            fs::write(&path, "old").unwrap();
            fs::set_permissions(&path, fs::Permissions::from_mode(mode)).unwrap();
            file::save(&path, &scene(catalogue)).unwrap();
            let now = fs::metadata(&path).unwrap().permissions().mode();
            assert_eq!(now & 0o777, mode);
        }
    }

    #[test]
    fn a_link_stays_and_what_it_leads_to_is_replaced() {
        let (folder, catalogue) = (Folder::new("link"), catalogue());
        fs::create_dir(folder.join("real")).unwrap();
        symlink("real/scene.json", folder.join("b.json")).unwrap();
        symlink("b.json", folder.join("a.json")).unwrap();
        let scene = scene(catalogue);
        // The first save makes the file that the links lead to, the second replaces it.
        for _ in 0..2 {
            file::save(&folder.join("a.json"), &scene).unwrap();
            let meta = fs::symlink_metadata(folder.join("a.json")).unwrap();
            assert!(meta.is_symlink());
            assert_eq!(
                file::open(&folder.join("real/scene.json"), catalogue).unwrap(),
                scene
            );
        }
        assert_eq!(folder.names(), ["a.json", "b.json", "real"]);
        symlink("round.json", folder.join("round.json")).unwrap();
        let err = file::save(&folder.join("round.json"), &scene).unwrap_err();
        assert!(err.to_string().contains("circle"), "{err}");
    }

    #[test]
    fn devices_are_neither_read_nor_replaced() {
        let catalogue = catalogue();
        let zero = Path::new("/dev/zero");
        assert_eq!(
            io_kind(&file::read_bytes(zero).unwrap_err()),
            ErrorKind::InvalidInput
        );
        let err = file::save(Path::new("/dev/null"), &scene(catalogue)).unwrap_err();
        assert_eq!(io_kind(&err), ErrorKind::InvalidInput);
    }

    const CHILD: &str = "CLOSEFIT_TEST_SAVE_TO";

    /// Runs this test program again under a limit of 1 KiB for files, with one test
    /// that saves to `path`. Without `trap` the system kills the program in the
    /// middle of the write.
    fn save_under_limit(test: &str, path: &Path, trap: &str) -> std::process::Output {
        let (_, place) = module_path!().split_once("::").unwrap();
        let script =
            format!("ulimit -c 0; ulimit -f 2; {trap} exec \"$0\" --exact {place}::{test}");
        Command::new("sh")
            .args(["-c", &script])
            .arg(std::env::current_exe().unwrap())
            .env(CHILD, path)
            .output()
            .unwrap()
    }

    /// A scene of some 100 KiB.
    fn large(catalogue: &Catalogue) -> Scene {
        let mut scene = scene(catalogue);
        scene.notes = "so much to say. ".repeat(1_000);
        for i in 0..2_000 {
            let key = format!("gap:{i}");
            scene.arrangements[0]
                .accepted
                .insert(key, closefit::model::Acceptance::of("it is fine"));
        }
        scene
    }

    #[test]
    fn a_disk_that_takes_no_more_leaves_the_old_file_whole() {
        let catalogue = catalogue();
        if let Some(path) = std::env::var_os(CHILD) {
            // In the child: the limit is the full disk.
            let err = file::save(Path::new(&path), &large(catalogue)).unwrap_err();
            assert_eq!(io_kind(&err), ErrorKind::FileTooLarge);
            assert!(err.to_string().contains("save to another place"), "{err}");
            return;
        }
        let folder = Folder::new("full");
        let path = folder.join("scene.json");
        fs::write(&path, "precious").unwrap();
        let test = "a_disk_that_takes_no_more_leaves_the_old_file_whole";
        let child = save_under_limit(test, &path, "trap '' XFSZ;");
        let said = String::from_utf8_lossy(&child.stdout);
        assert!(
            child.status.success() && said.contains("1 passed"),
            "{said}"
        );
        assert_eq!(fs::read_to_string(&path).unwrap(), "precious");
        assert_eq!(folder.names(), ["scene.json"], "no draft is left");
    }

    #[test]
    fn a_kill_in_the_middle_of_a_save_leaves_the_old_file_whole() {
        let catalogue = catalogue();
        if let Some(path) = std::env::var_os(CHILD) {
            // In the child: the signal of the limit ends it in the middle of this.
            file::save(Path::new(&path), &large(catalogue)).unwrap();
            return;
        }
        let folder = Folder::new("killed");
        let path = folder.join("scene.json");
        let before = scene(catalogue);
        file::save(&path, &before).unwrap();
        let test = "a_kill_in_the_middle_of_a_save_leaves_the_old_file_whole";
        let child = save_under_limit(test, &path, "");
        assert!(!child.status.success(), "the child was killed");
        let names = folder.names();
        assert_eq!(names.len(), 2, "the draft is there: {names:?}");
        assert!(
            file::open(&folder.join(&names[0]), catalogue).is_err(),
            "it is half a scene"
        );
        assert_eq!(file::open(&path, catalogue).unwrap(), before);
        let after = large(catalogue);
        file::save(&path, &after).unwrap();
        assert_eq!(file::open(&path, catalogue).unwrap(), after);
        assert_eq!(folder.names().len(), 2, "it is too young to be taken away");
        // An hour later it is: but not one that somebody still writes, nor other files.
        let old = std::time::SystemTime::now() - std::time::Duration::from_secs(3_600);
        let name = folder
            .names()
            .iter()
            .find(|n| n.ends_with(".draft"))
            .unwrap()
            .clone();
        let held = folder.join(".scene.json.7-1.draft");
        let other = folder.join(".scene.json.mine.draft");
        let mut locks = Vec::new();
        for path in [folder.join(&name), held.clone(), other.clone()] {
            let file = fs::File::options()
                .append(true)
                .create(true)
                .open(&path)
                .unwrap();
            file.set_modified(old).unwrap();
            if path == held {
                file.try_lock().unwrap();
            }
            locks.push(file);
        }
        file::save(&path, &after).unwrap();
        assert_eq!(
            folder.names(),
            [
                ".scene.json.7-1.draft",
                ".scene.json.mine.draft",
                "scene.json"
            ]
        );
    }
}
