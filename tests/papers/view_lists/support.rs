//! Scenes checked and drawn, and questions asked of a draw list.

use super::real;
use super::samples::*;
use closefit::geom::Turn;
use closefit::model::*;
use closefit::rules::Checker;
use closefit::view::list::{DrawList, Item, Mark, Path, Point2, Rect, Role as R};
use closefit::view::*;
use std::sync::Arc;

pub fn checked(scene: &Scene) -> Checker {
    let mut checker =
        Checker::new(Arc::new(real::settings())).with_catalogue(Arc::new(real::catalogue()));
    checker.check_all(scene);
    checker
}

/// A view of a scene, with its findings.
pub fn view(scene: &Scene, kind: ViewKind, scale: f64, options: ViewOptions) -> DrawList {
    let checker = checked(scene);
    let findings = checker.findings();
    let mut input = SheetInput::of(scene, checker.placed(), checker.runs());
    input.findings = &findings;
    input.options = options;
    draw(kind, scale, &input)
}

pub fn texts(list: &DrawList) -> Vec<(String, Rect)> {
    let text = |i: &Item| match &i.mark {
        Mark::Text(t) => Some((t.text.clone(), t.bounds())),
        _ => None,
    };
    list.items.iter().filter_map(text).collect()
}

pub fn paths(list: &DrawList, role: R) -> impl Iterator<Item = (&Item, &Path)> {
    list.items.iter().filter_map(move |i| match &i.mark {
        Mark::Path { path, .. } if i.role == role => Some((i, path)),
        _ => None,
    })
}

pub fn meet(a: Rect, b: Rect) -> bool {
    a.min.x < b.max.x && b.min.x < a.max.x && a.min.y < b.max.y && b.min.y < a.max.y
}

#[track_caller]
pub fn no_text_meets_another(list: &DrawList, what: &str) {
    let all = texts(list);
    for (i, (a, ra)) in all.iter().enumerate() {
        for (b, rb) in &all[i + 1..] {
            assert!(!meet(*ra, *rb), "{what}: '{a}' and '{b}' overlap");
        }
    }
}

#[track_caller]
pub fn nothing_leaves_the_page(list: &DrawList, page: (f64, f64), what: &str) {
    let page = Rect::sized(0.0, 0.0, page.0, page.1);
    for item in &list.items {
        if let Some(b) = item.mark.bounds() {
            let inside = page.contains(b.min) && page.contains(b.max);
            assert!(inside, "{what}: {:?} at {b:?}", item.role);
        }
    }
    assert_eq!(list.undrawable(), 0, "{what}");
}

/// Leaders: straight callout lines of two points.
pub fn leaders(list: &DrawList) -> Vec<(Point2, Point2)> {
    let lines = paths(list, R::Callout).flat_map(|(_, p)| p.flattened(0.05));
    let straight = lines.filter(|l| !l.closed && l.points.len() == 2);
    straight.map(|l| (l.points[0], l.points[1])).collect()
}

pub fn cross(a: (Point2, Point2), b: (Point2, Point2)) -> bool {
    let side = |p: (Point2, Point2), q: Point2| (p.1 - p.0).left().dot(q - p.0);
    side(a, b.0) * side(a, b.1) < -1e-9 && side(b, a.0) * side(b, a.1) < -1e-9
}

pub fn stack() -> Scene {
    // A drive of 26.1 on the floor, a fan lying over half of it.
    let mut b = Builder::new("stack", enclosure([300.0, 300.0, 120.0]));
    b.part("drive", &Arc::new(drive35()), [50.0, 50.0, 2.0], Turn::NONE)
        .part(
            "fan",
            &Arc::new(fan(120.0, 25.0, 105.0)),
            [100.0, 60.0, 60.0],
            Turn::NONE,
        );
    b.scene
}
