//! Every device gets its plug in one step: on the examples, against the leads that
//! were laid there by hand, and what cannot be fed is named.

use crate::desk;

use closefit::edit::Edit;
use closefit::editor::Editor;
use closefit::file;
use closefit::model::{CableId, PartId, PortRef, Scene, System};
use closefit::route::assign::Why;
use closefit::rules::Severity;
use std::collections::{BTreeMap, BTreeSet};

fn editor(example: &str) -> Editor {
    let (catalogue, settings) = desk::assets();
    let found = file::examples().iter().find(|e| e.title == example);
    let scene = desk::scene(found.expect("an example").text, &catalogue);
    Editor::new(catalogue, settings, scene)
}

/// Takes off all that is not liquid.
fn bare(editor: &mut Editor) -> usize {
    let cables = &editor.scene().arrangement().cables;
    let leads = cables.iter().filter(|(_, c)| c.system != System::Liquid);
    let off: Vec<Edit> = leads
        .map(|(id, _)| Edit::SetCable(id.clone(), None))
        .collect();
    editor.apply("take leads off", &off).expect("sound");
    off.len()
}

fn unplugged(editor: &Editor) -> Vec<String> {
    let found = editor.checker().findings();
    let of_rule = found.iter().filter(|f| f.rule == "port-unmatched");
    of_rule.map(|f| f.key()).collect()
}

#[test]
fn every_example_is_plugged_in_one_step_and_not_longer_than_by_hand() {
    let (catalogue, _) = desk::assets();
    for example in file::examples() {
        let mut editor = editor(example.title);
        if editor.scene().parts.len() > 100 {
            continue;
        }
        let by_hand = needed(&editor);
        let before_stops = stops(&editor);
        bare(&mut editor);
        let steps = editor.scene().clone();
        let done = editor.plug_all();
        assert!(
            done.plan.proved && done.plan.unfed.is_empty(),
            "{}: {:?}",
            example.title,
            done.plan.unfed
        );
        assert!(unplugged(&editor).is_empty(), "{}", example.title);
        // Coolers and pumps are in the headers that are there for them, though others are nearer.
        let found = editor.checker().findings();
        let astray: Vec<String> = (found.iter())
            .filter(|f| f.rule == "header-astray")
            .map(|f| f.key())
            .collect();
        assert!(astray.is_empty(), "{}: {astray:?}", example.title);
        assert!(stops(&editor) <= before_stops, "{}", example.title);
        assert!(done.plan.length.as_um() <= by_hand, "{}", example.title);
        // What the plan says is what the cables need.
        let leads: BTreeSet<&CableId> = done.plan.cables.iter().map(|(id, _)| id).collect();
        let runs = editor.checker().runs();
        let sum: i64 = leads.iter().map(|id| runs[*id].needed.as_um()).sum();
        assert_eq!(sum, done.plan.length.as_um(), "{}", example.title);
        // A file keeps it, and one undo takes all of it back.
        let bytes = file::write_scene(editor.scene());
        assert_eq!(
            &file::read_scene(&bytes, &catalogue).expect("sound"),
            editor.scene()
        );
        editor.undo();
        assert_eq!(editor.scene(), &steps, "{}", example.title);
    }
}

fn stops(editor: &Editor) -> usize {
    let found = editor.checker().findings();
    found
        .iter()
        .filter(|f| f.severity == Severity::Stop && f.rule.starts_with("cable"))
        .count()
}

/// What the leads of the scene need that the command could lay.
fn needed(editor: &Editor) -> i64 {
    let cables = &editor.scene().arrangement().cables;
    let leads = cables.iter().filter(|(_, c)| c.system != System::Liquid);
    leads
        .map(|(id, _)| editor.checker().runs()[id].needed.as_um())
        .sum()
}

#[test]
fn leads_that_are_there_stay_and_a_run_gets_further_plugs() {
    let mut editor = editor("Storage box with four drives");
    bare(&mut editor);
    editor.plug_all();
    let full = editor.scene().clone();
    let (id, run) = full
        .arrangement()
        .cables
        .iter()
        .find(|(_, c)| c.plugs.len() > 1)
        .expect("a run of two");
    let (id, run) = (id.clone(), run.clone());
    editor.change_cable(&id, "pull one", |c| {
        c.plugs.pop();
    });
    let kept: BTreeMap<_, _> = editor.scene().arrangement().cables.clone();
    let done = editor.plug_all();
    assert_eq!((done.plan.leads, done.plan.cables.len()), (0, 1));
    let again = &editor.scene().arrangement().cables;
    assert_eq!(again[&id].plugs.len(), run.plugs.len());
    for (other, cable) in kept.iter().filter(|(i, _)| **i != id) {
        assert_eq!(&again[other], cable);
    }
}

#[test]
fn locked_leads_stay_when_all_are_given_out_anew() {
    let mut editor = editor("Two-chamber build with liquid cooling");
    bare(&mut editor);
    // A fan on a header far away, on purpose.
    let at = |part: &str, port: &str| PortRef {
        part: PartId::new(part).expect("sound"),
        port: port.into(),
    };
    let id = editor
        .join(&at("fan-front", "lead"), &at("board", "fan1"))
        .expect("joins");
    editor.change_cable(&id, "lock", |c| c.locked = true);
    let mine = editor.scene().arrangement().cables[&id].clone();
    editor.plug_all();
    let with_mine = needed(&editor);
    editor.plug_anew();
    assert_eq!(editor.scene().arrangement().cables[&id], mine);
    assert_eq!(needed(&editor), with_mine);
    editor.change_cable(&id, "unlock", |c| c.locked = false);
    let before = editor.scene().clone();
    editor.plug_anew();
    assert!(needed(&editor) < with_mine, "the far header was kept");
    // Nothing is left to better: asked again, nothing changes.
    let settled: Scene = editor.scene().clone();
    assert!(!editor.plug_anew().changes());
    assert_eq!(editor.scene(), &settled);
    editor.undo();
    assert_eq!(editor.scene(), &before);
}

#[test]
fn what_cannot_be_fed_is_named_with_the_reason() {
    let mut editor = editor("Shallow rack build");
    bare(&mut editor);
    // Without the board nothing gives data; the supply still feeds the drives.
    editor
        .apply(
            "away",
            &[Edit::RemovePart(PartId::new("board").expect("sound"))],
        )
        .expect("sound");
    let done = editor.plug_all();
    let why: BTreeMap<String, &Why> = done
        .plan
        .unfed
        .iter()
        .map(|u| (u.port.to_string(), &u.why))
        .collect();
    assert!(
        matches!(why["drive-low:data"], Why::NoSource { .. }),
        "{why:?}"
    );
    assert!(!why.contains_key("drive-low:power"));
    assert_eq!(
        why["drive-low:data"].to_string(),
        "nothing in the scene feeds 'SATA data, on a drive'"
    );
    // Each of them is a finding too.
    let keys = unplugged(&editor);
    for port in why.keys() {
        assert!(
            keys.iter().any(|k| k.contains(port.as_str())),
            "{port}: {keys:?}"
        );
    }
}
