//! The data files against the published tables of the standards. The expected
//! values are typed in here, in inches where the standard gives inches, and not
//! read from the files. The source stands beside each check; what is only known
//! through transcriptions is marked 'secondary', as in the files.

use crate::figures as data;

use data::{EPS, Hole, IN, asset, at, by_id, holes, kind, kinds, list, num, point, set};
use serde_json::Value;

fn sets() -> Vec<Value> {
    list(&asset("holes.json"), "sets").to_vec()
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= EPS
}

fn hole<'a>(holes: &'a [Hole], label: &str) -> &'a Hole {
    holes
        .iter()
        .find(|h| h.label == label)
        .unwrap_or_else(|| panic!("no hole {label}"))
}

/// Distinct places along one direction, sorted.
fn steps(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut v: Vec<f64> = values.collect();
    v.sort_by(f64::total_cmp);
    v.dedup_by(|a, b| close(*a, *b));
    v
}

fn spans(id: &str) -> (f64, f64) {
    let h = set(&sets(), id);
    let (u, v) = (steps(h.iter().map(|h| h.u)), steps(h.iter().map(|h| h.v)));
    (u[u.len() - 1] - u[0], v[v.len() - 1] - v[0])
}

/// Board forms: id, inches along the rear edge and to the front, hole letters.
/// Outlines: microATX 1.2 Table 3 (ATX, microATX), Mini-ITX Addendum 1.1 Table 1;
/// FlexATX Addendum 1.0 and DTX 1.00 secondary. Letters: microATX 1.2 Fig. 2 table
/// (ATX, microATX), others secondary.
const FORMS: [(&str, f64, f64, &str); 9] = [
    ("board-atx-78", 12.0, 9.6, "ACFGHJKLM"),
    ("board-atx-90", 12.0, 9.6, "ACFGHJKLM"),
    ("board-microatx-78", 9.6, 9.6, "BCFHJLMRS"),
    ("board-microatx-90", 9.6, 9.6, "BCFHJLMRS"),
    ("board-flexatx-75", 9.0, 7.5, "BCFHJS"),
    ("board-mini-dtx-78", 8.0, 6.7, "CFHJ"),
    ("board-mini-itx-75", 6.7, 6.7, "CFHJ"),
    ("board-mini-itx-78", 6.7, 6.7, "CFHJ"),
    ("board-mini-itx-90", 6.7, 6.7, "CFHJ"),
];

/// Inches from the right and from the rear edge, the same on every form (ATX and
/// microATX hole figures, secondary, five transcriptions).
const FROM_RIGHT_REAR: [(&str, f64, f64); 12] = [
    ("A", 11.35, 0.40),
    ("B", 8.25, 0.40),
    ("C", 6.45, 0.40),
    ("F", 0.25, 1.30),
    ("G", 11.35, 6.50),
    ("H", 6.45, 6.50),
    ("J", 0.25, 6.50),
    ("K", 11.35, 9.35),
    ("L", 6.45, 9.35),
    ("M", 0.25, 9.35),
    ("R", 9.05, 6.50),
    ("S", 8.25, 6.50),
];

#[test]
fn board_holes_lie_on_the_published_grid() {
    // SSI EEB 3.0 Fig. 1: steps from hole A of 3.100, 4.900, 11.100 in along the rear
    // edge and 0.900, 6.100, 8.950 in to the front; R is one slot pitch (0.800) from S.
    let grid = set(&sets(), "board-grid");
    let a = hole(&grid, "A");
    let column = |l: &str| (hole(&grid, l).u - a.u) / IN;
    let row = |l: &str| (hole(&grid, l).v - a.v) / IN;
    for (labels, inches) in [
        ("AGK", 0.0),
        ("BS", 3.1),
        ("CHL", 4.9),
        ("FJM", 11.1),
        ("R", 2.3),
    ] {
        for l in labels.split("").filter(|l| !l.is_empty()) {
            assert!((column(l) - inches).abs() < 5e-5, "{l}: {} in", column(l));
        }
    }
    for (labels, inches) in [("ABC", 0.0), ("F", 0.9), ("GHJRS", 6.1), ("KLM", 8.95)] {
        for l in labels.split("").filter(|l| !l.is_empty()) {
            assert!((row(l) - inches).abs() < 5e-5, "{l}: {} in", row(l));
        }
    }
    assert_eq!(grid.len(), 12);
}

#[test]
fn every_board_form_has_its_outline_and_its_holes() {
    let (all, sets) = (kinds(), sets());
    let boards = all.iter().filter(|k| k["group"] == "board").count();
    assert_eq!(
        boards,
        FORMS.len(),
        "a board that this table does not judge"
    );
    for (id, width, depth, letters) in FORMS {
        let board = kind(&all, id);
        let plate = point(&board["body"][0]["solid"]["box"]["size"]);
        // Thickness 0.062 in: microATX 1.2, in mm 1.57.
        for (have, want) in [
            (plate[0], width * IN),
            (plate[1], depth * IN),
            (plate[2], 1.57),
        ] {
            assert!(close(have, want), "{id}: {have} for {want}");
        }
        let bottom = by_id(list(board, "patterns"), "bottom");
        assert_eq!(bottom["frame"]["out"], "-z", "{id}");
        let found = holes(&sets, bottom);
        let mut names: Vec<&str> = found.iter().map(|h| h.label.as_str()).collect();
        names.sort_unstable();
        assert_eq!(names.concat(), letters, "{id}");
        for h in &found {
            let (_, right, rear) = FROM_RIGHT_REAR
                .iter()
                .find(|r| r.0 == h.label)
                .expect("a letter of the grid");
            let p = at(&bottom["frame"], h.u, h.v);
            let (r, b) = ((plate[0] - p[0]) / IN, (plate[1] - p[1]) / IN);
            assert!(
                (r - right).abs() < 5e-5,
                "{id} {}: {r} from the right",
                h.label
            );
            assert!(
                (b - rear).abs() < 5e-5,
                "{id} {}: {b} from the rear",
                h.label
            );
        }
    }
}

#[test]
fn rear_openings_and_slots_lie_where_the_board_standard_puts_them() {
    let (all, sets) = (kinds(), sets());
    for (id, width, depth, _) in FORMS {
        let board = kind(&all, id);
        // Hole B, virtual on some forms: 8.25 in from the right, 0.40 in from the rear edge.
        let (b_x, b_y, top) = ((width - 8.25) * IN, (depth - 0.40) * IN, 1.57);
        let io = by_id(list(board, "outlets"), "io");
        // microATX 1.2 Fig. 4 notes: 6.25 x 1.75 in.
        assert!(close(num(&io["size"][0]), 6.25 * IN) && close(num(&io["size"][1]), 1.75 * IN));
        let p = at(&io["frame"], 0.0, 0.0);
        let q = at(&io["frame"], num(&io["size"][0]), num(&io["size"][1]));
        assert_eq!(io["frame"]["out"], "+y");
        // Left edge 2.096 in right of hole B (secondary, two transcriptions).
        assert!((p[0].min(q[0]) - b_x - 2.096 * IN).abs() < 0.005, "{id}");
        // Lower edge 0.150 in below the board's top: microATX 1.2 Fig. 4 notes.
        assert!(close(p[2].min(q[2]), top - 0.150 * IN), "{id}");
        // Connector faces 0.445 in behind the hole row: microATX 1.2 Fig. 5 notes.
        assert!(
            (p[1] - b_y - 0.445 * IN).abs() < 0.005,
            "{id}: {}",
            p[1] - b_y
        );
        // Slot 1 at 1.862 in right of hole B, key 1.848 in to the front (secondary),
        // further slots 0.800 in apart to the left (SSI EEB 3.0 Fig. 1).
        for zone in list(board, "zones") {
            let Some(n) = data::text(zone, "id").strip_prefix("slot-") else {
                continue;
            };
            let n: f64 = n.parse().expect("a slot number");
            let key = holes(&sets, zone);
            for h in key.iter().filter(|h| h.label == "key") {
                let p = at(&zone["frame"], h.u, h.v);
                let want = b_x + (1.862 - 0.8 * (n - 1.0)) * IN;
                assert!(
                    (p[0] - want).abs() < 0.006,
                    "{id} slot {n}: {} for {want}",
                    p[0]
                );
                assert!((b_y - p[1] - 1.848 * IN).abs() < 0.006, "{id} slot {n}");
                // A card's edge, 2.25 in behind its key, is flush with the board's: CEM Fig. 9-3.
                assert!(
                    (p[1] + 2.25 * IN - depth * IN).abs() < 0.06,
                    "{id} slot {n}"
                );
                // Fingers 3.40 above the board: CEM Fig. 6-1, secondary.
                assert!(close(p[2], top + 3.40), "{id} slot {n}");
            }
        }
    }
}

#[test]
fn supply_holes_have_their_spans_and_are_not_mirrored() {
    let (all, sets) = (kinds(), sets());
    // ATX12V design guide outline (secondary, three transcriptions): spans 138 across the
    // upper pair, 64 up the one side, 114 across the lower pair, 74 up the other.
    let h = set(&sets, "supply-atx");
    let d = |a: &str, b: &str| (hole(&h, a).u - hole(&h, b).u, hole(&h, a).v - hole(&h, b).v);
    assert_eq!(d("4", "2"), (138.0, 0.0));
    assert_eq!(d("2", "1"), (0.0, 64.0));
    assert_eq!((d("3", "1").0, d("4", "3").1), (114.0, 74.0));
    // SFX12V design guide outline (secondary): 113 x 51.5.
    assert_eq!(spans("supply-sfx"), (113.0, 51.5));
    // Flex ATX (secondary, within 1.2): 32 between the pair at 4.4.
    let f = set(&sets, "supply-flex");
    assert_eq!(hole(&f, "2").v - hole(&f, "1").v, 32.0);
    for k in all.iter().filter(|k| k["group"] == "supply") {
        let rear = by_id(list(k, "patterns"), "rear");
        let size = point(&k["size"]);
        assert_eq!(rear["frame"]["out"], "+y");
        for h in holes(&sets, rear) {
            // Seen from behind, a point at u from the left lies at width - u from the front.
            let p = at(&rear["frame"], h.u, h.v);
            assert!(close(p[0], size[0] - h.u) && close(p[1], size[1]) && close(p[2], h.v));
            assert_eq!(h.thread.as_deref(), Some("#6-32"));
        }
        // 0.5 in before the intake: ATX design guide 0.9, s.4.3.
        for piece in list(k, "body").iter().filter(|p| p["space"] == "keep-out") {
            let (a, b) = data::bounds(&piece["solid"]);
            assert!(close(b[2] - a[2], 0.5 * IN) || close(b[1] - a[1], 0.5 * IN));
        }
    }
}

#[test]
fn fans_and_radiators_have_the_usual_pitches() {
    // Fan outlines in use (secondary; 200 mm is not standardised, both pitches occur).
    let pitches = [
        ("fan-40", 32.0),
        ("fan-60", 50.0),
        ("fan-80", 71.5),
        ("fan-92", 82.5),
        ("fan-120", 105.0),
        ("fan-140", 124.5),
        ("fan-200-154", 154.0),
        ("fan-200-170", 170.0),
    ];
    for (id, pitch) in pitches {
        assert_eq!(spans(id), (pitch, pitch), "{id}");
        let h = set(&sets(), id);
        assert!(
            h.iter()
                .all(|h| h.u.abs() == pitch / 2.0 && h.v.abs() == pitch / 2.0)
        );
    }
    // Radiator sections: fans stand side by side, so 15 and 15.5 between hole groups
    // (arithmetic from the fan pitches).
    let (all, sets) = (kinds(), sets());
    for (size, pitch, gap) in [(120, 105.0, 15.0), (140, 124.5, 15.5)] {
        for n in 1..=3usize {
            let k = kind(&all, &format!("radiator-{n}x{size}-27"));
            for face in ["face-a", "face-b"] {
                let face = by_id(list(k, "patterns"), face);
                let h = holes(&sets, face);
                let x = steps(h.iter().map(|h| h.u));
                let want: Vec<f64> = (0..2 * n - 1)
                    .map(|i| if i % 2 == 0 { pitch } else { gap })
                    .collect();
                let have: Vec<f64> = x.windows(2).map(|w| w[1] - w[0]).collect();
                assert_eq!(have, want, "{n} x {size}");
                assert_eq!(h.len(), 4 * n);
            }
        }
    }
}

#[test]
fn drive_holes_follow_the_sff_tables() {
    let (all, sets) = (kinds(), sets());
    // SFF-8201 rev 3.4 Table 3-1 (secondary): 61.72 across, 76.60 along, first row 14.00
    // from the connector end, side holes 3.00 up; M3.
    assert!(close(spans("drive-25-bottom").0, 76.60) && close(spans("drive-25-bottom").1, 61.72));
    assert_eq!(spans("drive-25-side"), (90.60 - 14.00, 0.0));
    // SFF-8301 Table 3-1 (secondary): 95.25 (3.750 in) across; rows 41.28, then 44.45
    // (1.750 in) and 76.20 (3.000 in) on; side holes 101.60 (4.000 in) apart, 6.35
    // (0.250 in) up; #6-32.
    let h = set(&sets, "drive-35-bottom");
    let u = steps(h.iter().map(|h| h.u));
    assert!(close(u[0], 41.28) && close(u[1] - u[0], 1.75 * IN) && close(u[2] - u[0], 3.0 * IN));
    assert!(close(spans("drive-35-bottom").1, 3.75 * IN));
    let side = set(&sets, "drive-35-side");
    assert!(close(side[1].u - side[0].u, 4.0 * IN) && close(side[0].v, 0.25 * IN));
    // SFF-8551 rev 3.3 Table 5-1 (secondary): 79.25 along, 139.70 (5.500 in) across;
    // sides 10.00 and 21.84 up.
    assert!(close(spans("drive-525-bottom").0, 79.25));
    assert!(close(spans("drive-525-bottom").1, 5.5 * IN));
    assert!(close(spans("drive-525-side").1, 11.84));
    for (id, width, length, first) in [
        ("drive-25x7", 69.85, 100.45, 14.0),
        ("drive-25x9.5", 69.85, 100.45, 14.0),
        ("drive-25x15", 69.85, 100.45, 14.0),
        ("drive-35x26", 101.60, 147.0, 41.28),
        ("drive-35x26-far", 101.60, 147.0, 41.28),
    ] {
        let k = kind(&all, id);
        let size = point(&k["size"]);
        assert_eq!((size[0], size[1]), (width, length), "{id}");
        let bottom = by_id(list(k, "patterns"), "bottom");
        let rear = holes(&sets, bottom)
            .iter()
            .map(|h| length - at(&bottom["frame"], h.u, h.v)[1])
            .fold(f64::MAX, f64::min);
        assert!(
            close(rear, first),
            "{id}: first row {rear} from the connector end"
        );
        // SFF-8223 and SFF-8323 A13 (secondary): the signal end 13.43 from the left edge,
        // seen from behind with the label up, which is the edge at +x here.
        let port = |id: &str| point(&by_id(list(k, "ports"), id)["at"]);
        assert!(close(width - port("data")[0], 13.43 + 10.4 / 2.0), "{id}");
        assert!(port("power")[0] < port("data")[0], "{id}");
        assert_eq!((port("data")[1], port("data")[2]), (length, 3.5), "{id}");
    }
    // M.2 naming by width and length (secondary).
    for length in [30.0, 42.0, 60.0, 80.0, 110.0] {
        let code = format!("22{length:02}");
        let k = kind(&all, &format!("drive-m2-{code}-single"));
        let pattern = by_id(list(k, "patterns"), "bottom");
        let h = holes(&sets, pattern);
        assert_eq!((num(&k["size"][0]), num(&k["size"][1])), (22.0, length));
        assert_eq!(hole(&h, &length.to_string()).u - hole(&h, "edge").u, length);
    }
}

#[test]
fn socket_and_card_figures_are_those_of_their_guides() {
    // Thermal/Mechanical Specifications and Design Guidelines, Fig. B-1: 75.00 square;
    // the other two secondary.
    assert_eq!(spans("socket-75x75"), (75.0, 75.0));
    assert_eq!(spans("socket-78x78"), (78.0, 78.0));
    assert_eq!(spans("socket-90x54"), (90.0, 54.0));
    let (all, sets) = (kinds(), sets());
    // CEM Figs 9-3, 9-5, 9-6, 9-9 (secondary): heights 111.15 and 68.90, card edge 2.25 in
    // behind the key, screw 64.13 / 65.40 behind it and 108.26 / 71.49 above the board
    // (fingers 3.40 above it), 2.06 to the solder side / 15.50 to the component side.
    for (id, length, high, screw, flange, aside) in [
        ("card-graphics-2s-267", 267.0, 111.15, 64.13, 108.26, 2.06),
        ("card-network-x4", 150.0, 111.15, 64.13, 108.26, 2.06),
        (
            "card-graphics-low-1s-168",
            167.65,
            68.90,
            65.40,
            71.49,
            -15.50,
        ),
    ] {
        let k = kind(&all, id);
        assert!(close(num(&k["size"][2]), high), "{id}");
        let edge = by_id(list(k, "patterns"), "edge");
        let key = at(&edge["frame"], 0.0, 0.0);
        assert!(close(length - key[1], 2.25 * IN), "{id}");
        let bracket = by_id(list(k, "patterns"), "bracket");
        let h = &holes(&sets, bracket)[0];
        let p = at(&bracket["frame"], h.u, h.v);
        let have = [p[0] - key[0], p[1] - key[1], p[2] + 3.40];
        for (a, b) in have.iter().zip([aside, screw, flange]) {
            assert!(close(*a, b), "{id}: {have:?}");
        }
        let seats = holes(&sets, edge);
        assert!(seats.iter().all(|h| h.seat.is_some()));
    }
}
