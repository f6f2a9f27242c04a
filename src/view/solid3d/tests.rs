//! What shows, against brute force: lines of sight met with the solids themselves
//! (closed forms of box and cylinder), pixel by pixel.

use super::camera::{Camera, Corner};
use super::mesh::{Look, Mesh};
use super::vector::{P3, add, dot, scaled, sub};
use super::*;
use crate::geom::{Axis, Box3, Length, Solid, Vec3};

/// A small generator of numbers, so that a failure repeats.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, below: u64) -> i64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        i64::try_from((self.0 >> 33) % below).unwrap()
    }
}

fn look(owner: usize) -> Look {
    Look {
        owner: Some(Owner::Part(owner as u32)),
        system: crate::view::list::System::Air,
        darker: 0,
        rank: 1,
    }
}

/// Boxes and cylinders thrown into a room; many of them run through one another.
fn heap(seed: u64, count: usize) -> Vec<Solid> {
    let mut dice = Dice(seed);
    (0..count)
        .map(|i| {
            // In micrometres, so that hardly two faces lie in one plane.
            let mut um = |least: i64, more: u64| Length::um(least + dice.roll(more));
            let at = Vec3::new(um(0, 90_000), um(0, 90_000), um(0, 90_000));
            if i % 3 == 2 {
                Solid::Cylinder {
                    radius: um(8_000, 14_000),
                    height: um(10_000, 50_000),
                    axis: Axis::ALL[dice.roll(3) as usize],
                    base: at,
                }
            } else {
                let size = Vec3::new(um(6_000, 50_000), um(6_000, 50_000), um(6_000, 50_000));
                Solid::Box(Box3::at(at, size))
            }
        })
        .collect()
}

fn mesh_of(solids: &[Solid]) -> Mesh {
    let mut mesh = Mesh::default();
    for (i, solid) in solids.iter().enumerate() {
        mesh.solid(solid, [0.0; 3], look(i));
    }
    mesh
}

/// Where a line of sight first meets a solid: how far along, and the outward normal.
fn meet(solid: &Solid, (from, way): (P3, P3)) -> Option<(f64, P3)> {
    match solid {
        Solid::Box(b) => {
            let (min, max) = (b.min().as_mm(), b.max().as_mm());
            let (mut enter, mut leave) = (f64::NEG_INFINITY, f64::INFINITY);
            let mut normal = [0.0; 3];
            for k in 0..3 {
                let (a, b) = ((min[k] - from[k]) / way[k], (max[k] - from[k]) / way[k]);
                if a.min(b) > enter {
                    enter = a.min(b);
                    normal = [0.0; 3];
                    normal[k] = -way[k].signum();
                }
                leave = leave.min(a.max(b));
            }
            (enter < leave).then_some((enter, normal))
        }
        Solid::Cylinder {
            axis,
            base,
            radius,
            height,
        } => {
            let k = axis.index();
            let (u, v) = axis.others();
            let (u, v) = (u.index(), v.index());
            let (c, r) = (base.as_mm(), radius.as_mm());
            let mut best: Option<(f64, P3)> = None;
            let mut take = |t: f64, n: P3| {
                if best.is_none_or(|(s, _)| t < s) {
                    best = Some((t, n));
                }
            };
            let at = |t: f64| add(from, scaled(way, t));
            for (level, sign) in [(c[k], -1.0), (c[k] + height.as_mm(), 1.0)] {
                let t = (level - from[k]) / way[k];
                let p = at(t);
                if (p[u] - c[u]).hypot(p[v] - c[v]) <= r {
                    let mut n = [0.0; 3];
                    n[k] = sign;
                    take(t, n);
                }
            }
            let (x, y) = (from[u] - c[u], from[v] - c[v]);
            let a = way[u] * way[u] + way[v] * way[v];
            let b = x * way[u] + y * way[v];
            let under = b * b - a * (x * x + y * y - r * r);
            if under > 0.0 {
                let t = (-b - under.sqrt()) / a;
                let p = at(t);
                if p[k] >= c[k] && p[k] <= c[k] + height.as_mm() {
                    let mut n = [0.0; 3];
                    n[u] = (p[u] - c[u]) / r;
                    n[v] = (p[v] - c[v]) / r;
                    take(t, n);
                }
            }
            best
        }
        Solid::Extrusion { .. } => None,
    }
}

/// The nearest solid on a line of sight, with depth and normal.
fn nearest(solids: &[Solid], ray: (P3, P3)) -> Option<(usize, f64, P3)> {
    let hits = solids
        .iter()
        .enumerate()
        .filter_map(|(i, s)| meet(s, ray).map(|(t, n)| (i, t, n)));
    hits.min_by(|a, b| a.1.total_cmp(&b.1))
}

fn compare(seed: u64, corner: Corner, perspective: bool) {
    let solids = heap(seed, 14);
    let mesh = mesh_of(&solids);
    let camera = Camera::new(corner, [60.0; 3], 200.0, perspective);
    let view = Solid3d::of(mesh, Mesh::default(), &camera);
    let (low, high) = (view.low, view.high);
    let (mut judged, mut all) = (0, 0);
    let step = 2.3;
    let mut y = low[1] - 3.0;
    while y < high[1] + 3.0 {
        let mut x = low[0] - 3.0;
        while x < high[0] + 3.0 {
            all += 1;
            let hit = |dx: f64, dy: f64| nearest(&solids, camera.ray(x + dx, y + dy));
            let here = hit(0.0, 0.0);
            // Pixels on an edge are nobody's: round bodies are drawn by chords.
            let same = |other: Option<(usize, f64, P3)>| match (&here, &other) {
                (None, None) => true,
                (Some((i, _, n)), Some((j, _, m))) => i == j && dot(*n, *m) > 0.7,
                _ => false,
            };
            let around = [(0.5, 0.0), (-0.5, 0.0), (0.0, 0.5), (0.0, -0.5)];
            if around.iter().all(|(dx, dy)| same(hit(*dx, *dy))) {
                judged += 1;
                let drawn = view.face_at([x, y]).map(|f| &view.mesh.faces[f]);
                match (&here, drawn) {
                    (None, None) => {}
                    (Some((i, _, n)), Some(face)) => {
                        assert_eq!(face.look.owner, look(*i).owner, "{seed} {x} {y}");
                        assert!(dot(face.normal, *n) > 0.9, "{seed} {x} {y}");
                    }
                    (here, drawn) => {
                        panic!(
                            "{seed} {corner:?} at {x} {y}: {here:?}, drawn {}",
                            drawn.is_some()
                        )
                    }
                }
            }
            x += step;
        }
        y += step;
    }
    assert!(judged * 10 > all * 6, "{judged} of {all}");
}

#[test]
fn faces_show_where_lines_of_sight_meet_them_first() {
    for (i, corner) in Corner::ALL.into_iter().enumerate() {
        compare(17 + i as u64, corner, false);
    }
}

#[test]
fn so_they_do_in_perspective() {
    for (i, corner) in Corner::ALL.into_iter().enumerate() {
        compare(117 + i as u64, corner, true);
    }
}

#[test]
fn edges_are_drawn_where_nothing_is_nearer_and_nowhere_else() {
    let (mut shown, mut hidden) = (0, 0);
    for seed in 1..6 {
        // Boxes only: the closed form of a cylinder is not its chords.
        let solids: Vec<Solid> = heap(seed, 20)
            .into_iter()
            .filter(|s| matches!(s, Solid::Box(_)))
            .collect();
        let corner = Corner::ALL[seed as usize % 8];
        let camera = Camera::new(corner, [60.0; 3], 200.0, false);
        let view = Solid3d::of(mesh_of(&solids), Mesh::default(), &camera);
        for (index, edge) in view.mesh.edges.iter().enumerate() {
            let eye = camera.ray(0.0, 0.0).1;
            if edge.normals.iter().all(|n| dot(*n, eye) > -1e-9) {
                continue;
            }
            for k in 1..20 {
                let t = f64::from(k) / 20.0 + 0.013;
                let p = add(edge.a, scaled(sub(edge.b, edge.a), t));
                let at = camera.see(p);
                // How far something stands before the edge here and around it.
                let before = |dx: f64, dy: f64, by: f64| {
                    let ray = camera.ray(at[0] + dx, at[1] + dy);
                    let own = dot(sub(p, ray.0), ray.1);
                    nearest(&solids, ray).is_some_and(|(_, depth, _)| depth < own - by)
                };
                // Its own faces rise by at most the distance over the square root of
                // a half within the ring around the point.
                let ring = [(0.1, 0.0), (-0.1, 0.0), (0.0, 0.1), (0.0, -0.1)];
                let covered = ring.iter().all(|(x, y)| before(*x, *y, 0.3));
                let open =
                    ring.iter().all(|(x, y)| !before(*x, *y, 0.3)) && !before(0.0, 0.0, 0.01);
                let drawn = view.seen.stretches.iter().any(|s| {
                    let way = [s.b[0] - s.a[0], s.b[1] - s.a[1]];
                    let to = [at[0] - s.a[0], at[1] - s.a[1]];
                    let along =
                        (way[0] * to[0] + way[1] * to[1]) / (way[0] * way[0] + way[1] * way[1]);
                    s.edge == index && (-1e-9..=1.0 + 1e-9).contains(&along)
                });
                if covered {
                    hidden += 1;
                    assert!(!drawn, "{seed}: edge {index} at {t} is covered");
                } else if open {
                    shown += 1;
                    assert!(drawn, "{seed}: edge {index} at {t} is open");
                }
            }
        }
    }
    assert!(
        shown > 500 && hidden > 500,
        "{shown} shown, {hidden} hidden"
    );
}

#[test]
fn a_detail_flush_with_its_body_shows_and_a_body_flush_with_a_body_shows_once() {
    let mut mesh = Mesh::default();
    let block = Solid::Box(Box3::at(Vec3::ZERO, Vec3::mm(40, 40, 40)));
    let label = Solid::Box(Box3::at(Vec3::mm(10, 10, 38), Vec3::mm(20, 20, 2)));
    mesh.solid(&block, [0.0; 3], look(0));
    let detail = Look { rank: 2, ..look(1) };
    mesh.solid(&label, [0.0; 3], detail);
    let camera = Camera::new(Corner::default(), [20.0; 3], 70.0, false);
    let view = Solid3d::of(mesh, Mesh::default(), &camera);
    let top = camera.see([20.0, 20.0, 40.0]);
    let face = view.face_at([top[0], top[1]]).unwrap();
    assert_eq!(view.mesh.faces[face].look.owner, look(1).owner);
    let beside = camera.see([5.0, 20.0, 40.0]);
    let face = view.face_at([beside[0], beside[1]]).unwrap();
    assert_eq!(view.mesh.faces[face].look.owner, look(0).owner);
    // Areas add up: nothing is drawn twice, nothing is left out. Seen isometrically
    // a cube of side s covers sqrt(3) s^2.
    let area: f64 = view
        .seen
        .faces
        .iter()
        .flat_map(|f| f.region.iter().flatten())
        .map(|r| seen::area(r))
        .sum();
    assert!((area - 3f64.sqrt() * 1600.0).abs() < 0.01, "{area}");
}

#[test]
fn top_front_and_side_differ_in_tone() {
    let mesh = mesh_of(&[Solid::Box(Box3::at(Vec3::ZERO, Vec3::mm(30, 30, 30)))]);
    for corner in &Corner::ALL[..4] {
        let camera = Camera::new(*corner, [15.0; 3], 52.0, false);
        let view = Solid3d::of(mesh.clone(), Mesh::default(), &camera);
        let mut tones: Vec<Tone> = view.seen.faces.iter().map(|f| view.tones[f.face]).collect();
        tones.sort();
        tones.dedup();
        assert_eq!(tones.len(), 3, "{corner:?}");
        assert_eq!(tones[0], Tone::new(0), "the top gets the light");
    }
}

#[test]
fn nothing_at_all_is_an_empty_view() {
    let camera = Camera::new(Corner::default(), [0.0; 3], 0.0, true);
    let view = Solid3d::of(Mesh::default(), Mesh::default(), &camera);
    assert_eq!(view.size(), (0.0, 0.0));
    assert!(view.draw(1.0).items.is_empty());
}
