//! Figures from a calliper, typed into the chain of an uncertain gap and into a part's
//! details (egui_kittest).

use crate::desk;

use closefit::app::App;
use closefit::file;
use closefit::geom::{Axis, Length};
use closefit::model::{PartId, Span};
use closefit::rules::Finding;
use desk::{assets, scene};
use eframe::egui::{Key, Role, Vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;

const KEY: &str = "gap-uncertain:plate:floor+supply";

fn window(height: f32) -> Harness<'static, App> {
    let (catalogue, settings) = assets();
    let mut examples = file::examples().iter();
    let example = examples
        .find(|e| e.file == "slim-upright.json")
        .expect("the example");
    let scene = scene(example.text, &catalogue);
    let mut h = Harness::builder()
        .with_size(Vec2::new(1280.0, height))
        .with_max_steps(24)
        .build_eframe(move |_cc| {
            let mut app = App::new(catalogue, settings, scene, None);
            app.native_dialogs = false;
            app
        });
    h.run();
    h
}

fn finding(h: &Harness<'static, App>) -> Option<Finding> {
    h.state().editor.finding(KEY).cloned()
}

fn type_into(h: &mut Harness<'static, App>, field: &str, text: &str) {
    h.get_by_role_and_label(Role::TextInput, field).click();
    h.run();
    h.get_by_role_and_label(Role::TextInput, field)
        .type_text(text);
    h.run();
    h.key_press(Key::Enter);
    h.run();
}

#[test]
fn a_measured_figure_in_the_chain_settles_the_gap_and_undo_takes_it_back() {
    let mut h = window(900.0);
    let found = finding(&h).expect("the supply stands 0.5 over the floor");
    let chain = found.chain.clone().expect("a chain");
    let link = chain.by_range()[0].1.clone();
    let (of, span) = link.dimension.clone().expect("a dimension");
    h.get_by_label(&found.sentence()).click();
    h.run();
    let field = format!("measured {}", link.what);
    // What is no figure is not noted, and that is said.
    type_into(&mut h, &field, "about right");
    assert!(h.state().editor.scene().measured.is_empty());
    h.get_by_label_contains("Not noted");
    // The supply's own dimension, +-0.3 by the general tolerance of its size, measured as
    // drawn to 0.02: the worst case is better by 0.28, and not by enough.
    let figure = format!("{} ± 0.02", span.nominal());
    type_into(&mut h, &field, &figure);
    let known = &h.state().editor.scene().measured[&of][&span];
    assert_eq!(known.deviation.plus, Length::um(20));
    let now = finding(&h).expect("0.02 too much still");
    let needed = found.needed.expect("a figure");
    assert_eq!(now.needed, Some(needed - Length::um(280)));
    // The other one as well: the gap is sure.
    let other = chain.by_range()[1].1.clone();
    let (_, span) = other.dimension.clone().expect("a dimension");
    let figure = format!("{} +0.1 -0.1", span.nominal());
    type_into(&mut h, &format!("measured {}", other.what), &figure);
    assert_eq!(finding(&h), None);
    h.state_mut().editor.undo();
    h.run();
    assert!(finding(&h).is_some());
}

#[test]
fn the_sizes_of_a_part_are_typed_in_its_details() {
    // So tall that the whole of the details is seen.
    let mut h = window(2400.0);
    let supply = PartId::new("supply").expect("an id");
    h.state_mut().editor.select([supply.clone()]);
    h.run();
    let size = h.state().editor.scene().parts[&supply].kind.size;
    let field = format!("measured x, all of {}", size.x);
    type_into(&mut h, &field, "81,3 ± 0,1");
    let span = Span::new(Axis::X, Length::ZERO, size.x).expect("a span");
    let measured = &h.state().editor.scene().measured;
    assert_eq!(measured[&Some(supply)][&span].is, Length::um(81_300));
}
