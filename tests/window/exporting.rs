//! What leaves the desk, chosen in the window and written: pictures with their views and
//! arrangements, the shop, labels (egui_kittest, no display).

use crate::desk;

use closefit::app::{App, Dialog, ExportChoice, Purpose, What};
use closefit::export::paper::ListFormat;
use closefit::view::picture::Views;
use closefit::view::solid3d::Walls;
use desk::assets;
use eframe::egui::{Role, Vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use std::path::{Path, PathBuf};

/// The example that has several arrangements, with a folder of its own for the shop.
fn window(folder: &Path) -> Harness<'static, App> {
    let (catalogue, settings) = assets();
    let cube = closefit::file::examples()
        .iter()
        .find(|e| e.text.contains("grille down"))
        .expect("an example with two arrangements");
    let scene = closefit::file::read_scene(cube.text.as_bytes(), &catalogue).expect("it is sound");
    let shop = folder.join("settings/shop.json");
    let mut h = Harness::builder()
        .with_size(Vec2::new(1280.0, 720.0))
        .with_max_steps(24)
        .build_eframe(move |_cc| {
            let mut app = App::new(catalogue, settings, scene, None);
            app.native_dialogs = false;
            app.shop_file = Some(shop);
            app
        });
    h.run();
    h
}

fn folder(name: &str) -> PathBuf {
    let path = std::env::temp_dir().join(format!("closefit-{name}-{}", std::process::id()));
    std::fs::create_dir_all(&path).expect("a folder");
    path
}

fn choice(h: &Harness<'static, App>) -> ExportChoice {
    let Some(Dialog::Export(choice)) = &h.state().dialog else {
        panic!("the question about a picture is open");
    };
    *choice
}

/// Opens a list and takes one of its entries.
fn take(h: &mut Harness<'static, App>, list: &str, entry: &str) {
    h.get_by_role_and_label(Role::ComboBox, list).click();
    h.run();
    h.get_by_role_and_label(Role::Button, entry).click();
    h.run();
}

fn type_into(h: &mut Harness<'static, App>, field: &str, text: &str) {
    h.get_by_role_and_label(Role::TextInput, field).click();
    h.run();
    h.get_by_role_and_label(Role::TextInput, field)
        .type_text(text);
    h.run();
}

/// Writes to a file by its typed path and waits for it.
fn write(h: &mut Harness<'static, App>, purpose: Purpose, file: &Path) -> Vec<u8> {
    h.get_by_label("Choose a file…").click();
    h.run();
    assert!(matches!(&h.state().dialog, Some(Dialog::Path(p, _)) if *p == purpose));
    h.state_mut().dialog = Some(Dialog::Path(purpose, file.display().to_string()));
    h.run();
    h.get_by_label("Write").click();
    for _ in 0..1500 {
        h.step();
        if h.state().notice().starts_with("Wrote") {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(20));
    }
    std::fs::read(file).expect("it was written")
}

#[test]
fn a_picture_of_a_chosen_arrangement_taken_apart() {
    let folder = folder("picture");
    let mut h = window(&folder);
    h.state_mut().ask_export();
    h.run();
    take(&mut h, "Arrangement", "grille up");
    take(&mut h, "Views", "three-dimensional view alone");
    take(&mut h, "Walls in the way", "ghosted");
    h.get_by_label("Letter").click();
    h.run();
    h.get_by_role_and_label(Role::SpinButton, "Taken apart by")
        .click();
    h.run();
    h.event(eframe::egui::Event::Text("60".to_owned()));
    h.run();
    h.key_press(eframe::egui::Key::Enter);
    h.run();
    let made = choice(&h);
    assert_eq!((made.arrangement, made.views), (1, Views::Solid));
    assert_eq!((made.walls, made.explode_mm), (Walls::Ghost, 60));
    let text = write(&mut h, Purpose::Export, &folder.join("apart.svg"));
    let text = String::from_utf8(text).expect("an SVG is text");
    assert!(text.contains("taken apart") && text.contains("arrangement: grille up"));
    assert!(text.contains("width=\"279.4mm\""), "Letter");
    std::fs::remove_dir_all(folder).expect("removed");
}

#[test]
fn before_and_after_and_the_shop() {
    let folder = folder("shop");
    let mut h = window(&folder);
    h.state_mut().ask_export();
    h.run();
    take(&mut h, "Before it", "grille up");
    assert_eq!(choice(&h).before, Some(1));
    h.get_by_label("Shop…").click();
    h.run();
    type_into(&mut h, "Name", "Example workshop");
    type_into(&mut h, "Logo, a PNG file", "none.png");
    h.get_by_label("Save").click();
    h.run();
    let Some(Dialog::Shop(fields)) = &mut h.state_mut().dialog else {
        panic!("a logo that is not there is not saved");
    };
    assert!(
        fields
            .wrong
            .as_ref()
            .is_some_and(|w| w.contains("none.png"))
    );
    fields.logo.clear();
    h.run();
    h.get_by_label("Save").click();
    h.run();
    assert_eq!(choice(&h).before, Some(1), "back where it was asked");
    let text = write(&mut h, Purpose::Export, &folder.join("two.svg"));
    let text = String::from_utf8(text).expect("an SVG is text");
    for words in [
        "Example workshop",
        "before: grille up",
        "after: grille down",
    ] {
        assert!(text.contains(words), "{words}");
    }
    std::fs::remove_dir_all(folder).expect("removed");
}

#[test]
fn labels_are_pages_and_other_lists_are_not() {
    let folder = folder("labels");
    let mut h = window(&folder);
    h.state_mut().ask_paper();
    let Some(Dialog::Paper(choice)) = &mut h.state_mut().dialog else {
        panic!("the question about paper is open");
    };
    choice.what = What::List;
    choice.list = "labels";
    h.run();
    h.get_by_label("PDF").click();
    h.run();
    take(&mut h, "Arrangement", "grille up");
    let pdf = write(&mut h, Purpose::Paper, &folder.join("labels.pdf"));
    assert!(pdf.starts_with(b"%PDF"));
    h.state_mut().ask_paper();
    if let Some(Dialog::Paper(choice)) = &mut h.state_mut().dialog {
        assert_eq!(choice.format_of_list, ListFormat::Pages);
        choice.list = "parts";
    }
    h.run();
    let Some(Dialog::Paper(choice)) = &h.state().dialog else {
        panic!("it is still open");
    };
    assert_eq!(choice.ending(), "csv");
    std::fs::remove_dir_all(folder).expect("removed");
}
