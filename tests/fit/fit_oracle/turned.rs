//! Solids in any position against figures of another library.

use closefit::geom::kernel::{Gap, Shape, Turn, Vec3, gap};

/// A micrometre: what is promised for all solids that are not boxes along the axes.
const MICROMETRE: f64 = 1e-3;

/// Pairs of boxes, cylinders and prisms, some turned about one axis, most in any position: sizes,
/// rotation by rows, centre of each; the signed distance that coal 3.0.3 gives (`gjk_tolerance`
/// and `epa_tolerance` 1e-10), and the least of the sum of both support functions over all
/// directions (SciPy 1.17, from 1500 starts and all face and edge normals), which is minus that
/// distance by definition.
const PAIRS: &str = include_str!("pairs.txt");

fn numbers(words: &str) -> Vec<f64> {
    let words = words.split_whitespace();
    words.map(|w| w.parse().expect("a number")).collect()
}

fn shape(kind: &str, rows: &str, centre: &str) -> Shape {
    let (name, sizes) = kind.trim().split_once(' ').expect("a kind and sizes");
    let (sizes, rows, centre) = (numbers(sizes), numbers(rows), numbers(centre));
    let rows = std::array::from_fn(|i| std::array::from_fn(|k| rows[3 * i + k]));
    let turn = Turn::from_rows(rows).expect("a rotation");
    let centre = Vec3::new(centre[0], centre[1], centre[2]);
    match name {
        "box" => Shape::cuboid(centre, Vec3::new(sizes[0], sizes[1], sizes[2]) * 0.5, &turn),
        "cyl" => Shape::cylinder(centre, turn.apply(Vec3::unit(2)), sizes[0], sizes[1] * 0.5),
        "prism" => {
            let corners: Vec<[f64; 2]> = sizes[1..].chunks(2).map(|c| [c[0], c[1]]).collect();
            Shape::extrusion(&corners, &[], sizes[0] * 0.5, centre, &turn)
        }
        other => panic!("no solid is called {other}"),
    }
    .expect("a solid with a size")
}

#[test]
fn turned_pairs_agree_with_coal_within_a_micrometre() {
    let mut kinds = std::collections::BTreeMap::<(String, bool), usize>::new();
    for line in PAIRS.lines().filter(|l| !l.starts_with('#')) {
        let fields: Vec<&str> = line.split('|').collect();
        let a = shape(fields[0], fields[1], fields[2]);
        let b = shape(fields[3], fields[4], fields[5]);
        let [coal, least] = numbers(fields[6])[..] else {
            panic!("two figures in {line}");
        };
        assert!((coal - least).abs() < 1e-6, "the sources agree: {line}");
        for (a, b) in [(&a, &b), (&b, &a)] {
            let signed = match gap(a, b, f64::INFINITY) {
                Gap::Overlap { depth, .. } => -depth,
                Gap::Touching { .. } => 0.0,
                Gap::Apart { distance, .. } => distance,
                Gap::Beyond => panic!("nothing is beyond infinity: {line}"),
            };
            assert!(
                (signed - coal).abs() < MICROMETRE,
                "{signed} for {coal}: {line}"
            );
            assert!(
                (signed - least).abs() < 1e-6,
                "{signed} for {least}: {line}"
            );
        }
        let mut names = [fields[0], fields[3]].map(|f| f.trim().split(' ').next().unwrap_or(""));
        names.sort_unstable();
        *kinds.entry((names.join(" "), coal < 0.0)).or_default() += 1;
    }
    // Each pair of kinds, apart and in one another.
    assert_eq!(kinds.len(), 12, "{kinds:?}");
    assert!(kinds.values().all(|n| *n >= 2), "{kinds:?}");
}
