//! Mending a finding by its button: it ends the finding and stops nothing else, or
//! leaves the scene as it was and says so.

use crate::desk;

use closefit::editor::Editor;
use closefit::file;
use closefit::model::Acceptance;
use closefit::rules::Severity;
use desk::*;

fn stops(e: &Editor) -> usize {
    let found = e.checker().findings().into_iter();
    found.filter(|f| f.severity == Severity::Stop).count()
}

#[test]
fn mending_never_makes_it_worse() {
    let (catalogue, settings) = assets();
    let (mut mended, mut refused) = (0, 0);
    for example in file::examples() {
        let scene = scene(example.text, &catalogue);
        if scene.parts.len() > 50 {
            continue;
        }
        let first = Editor::new(catalogue.clone(), settings.clone(), scene.clone());
        let fixable = first
            .checker()
            .findings()
            .into_iter()
            .filter(|f| f.fix.is_some());
        for key in fixable.map(|f| f.key()).collect::<Vec<_>>() {
            let mut e = Editor::new(catalogue.clone(), settings.clone(), scene.clone());
            let before = stops(&e);
            match e.fix(&key) {
                Ok(()) => {
                    mended += 1;
                    assert!(
                        e.finding(&key).is_none_or(|f| f.severity > Severity::Stop),
                        "{key}"
                    );
                    assert!(stops(&e) <= before, "{}: {key}", example.title);
                    assert_eq!(e.undo().as_deref(), Some("mend"));
                    assert_eq!(*e.scene(), scene);
                }
                Err(why) => {
                    refused += 1;
                    assert!(why.starts_with("Not mended"), "{why}");
                    assert_eq!(*e.scene(), scene);
                    assert!(e.history().undo_label().is_none());
                }
            }
        }
    }
    assert!(
        mended > 0 && refused > 0,
        "{mended} mended, {refused} refused"
    );
}

#[test]
fn an_accepted_finding_counts_again_when_it_gets_worse() {
    let (catalogue, settings) = assets();
    let example = &file::examples()[0];
    let mut e = Editor::new(catalogue.clone(), settings, scene(example.text, &catalogue));
    // The card's power lead needs some 314 mm, 346 with the share for service.
    let cut = |e: &mut Editor, mm: i64| {
        let id = closefit::model::CableId::new("card-power").expect("an id");
        let mut cable = e.scene().arrangement().cables[&id].clone();
        cable.plugs[0].length = closefit::geom::Length::mm(mm);
        let edit = closefit::edit::Edit::SetCable(id, Some(cable));
        e.apply("cut", &[edit]).expect("a sound edit");
    };
    cut(&mut e, 330);
    let mut found = e.checker().findings().into_iter();
    let short = found
        .find(|f| f.rule == "cable-short")
        .expect("a short lead")
        .clone();
    assert_eq!(short.severity, Severity::Caution);
    let key = short.key();
    assert!(e.accept(&key, Some("the lead stretches")));
    assert!(!keys(&e).contains(&key));
    cut(&mut e, 320);
    assert!(keys(&e).contains(&key));
    // What was accepted without figures, as in older files, stays so.
    let always = closefit::edit::Edit::Accept(key.clone(), Some(Acceptance::of("known")));
    e.apply("accept", &[always]).expect("a sound edit");
    assert!(!keys(&e).contains(&key));
}
