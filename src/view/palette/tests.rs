//! Contrast and colour-vision checks of every palette.

use super::*;
use crate::view::list::System;

/// sRGB channel to linear light. Source: IEC 61966-2-1 as in WCAG 2.1, with the
/// threshold 0.04045 (WCAG prints 0.03928; no 8-bit value lies between).
fn linear(channel: u8) -> f64 {
    let c = f64::from(channel) / 255.0;
    if c <= 0.040_45 {
        c / 12.92
    } else {
        ((c + 0.055) / 1.055).powf(2.4)
    }
}

/// Relative luminance. Source: W3C, WCAG 2.1, definition of relative luminance.
fn luminance(c: Rgba) -> f64 {
    0.2126 * linear(c.r) + 0.7152 * linear(c.g) + 0.0722 * linear(c.b)
}

/// Contrast ratio. Source: W3C, WCAG 2.1, definition of contrast ratio.
fn contrast(a: Rgba, b: Rgba) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

type Matrix = [[f64; 3]; 3];

const NORMAL: Matrix = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
// Source: Machado, Oliveira, Fernandes 2009, severity 1.0, from memory; for linear RGB.
const PROTANOPIA: Matrix = [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
];
const DEUTERANOPIA: Matrix = [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.011820, 0.042940, 0.968881],
];
// Source: IEC 61966-2-1, linear sRGB to CIE XYZ with white D65.
const TO_XYZ: Matrix = [
    [0.412_456_4, 0.357_576_1, 0.180_437_5],
    [0.212_672_9, 0.715_152_2, 0.072_175_0],
    [0.019_333_9, 0.119_192_0, 0.950_304_1],
];

fn apply(m: &Matrix, v: [f64; 3]) -> [f64; 3] {
    m.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

/// CIE 1976 L*a*b* of a colour as an eye of this kind sees it.
fn lab(eye: &Matrix, c: Rgba) -> [f64; 3] {
    let seen = apply(eye, [linear(c.r), linear(c.g), linear(c.b)]).map(|v| v.clamp(0.0, 1.0));
    let white = apply(&TO_XYZ, [1.0; 3]);
    let xyz = apply(&TO_XYZ, seen);
    let f = |i: usize| {
        let t: f64 = xyz[i] / white[i];
        if t > 216.0 / 24389.0 {
            t.cbrt()
        } else {
            (24389.0 / 27.0 * t + 16.0) / 116.0
        }
    };
    [
        116.0 * f(1) - 16.0,
        500.0 * (f(0) - f(1)),
        200.0 * (f(1) - f(2)),
    ]
}

/// CIE 1976 colour difference.
fn difference(eye: &Matrix, a: Rgba, b: Rgba) -> f64 {
    let (a, b) = (lab(eye, a), lab(eye, b));
    a.iter()
        .zip(b)
        .map(|(a, b)| (a - b).powi(2))
        .sum::<f64>()
        .sqrt()
}

fn pairs() -> impl Iterator<Item = (System, System)> {
    System::ALL.into_iter().flat_map(|a| {
        System::ALL
            .into_iter()
            .filter(move |b| *b > a)
            .map(move |b| (a, b))
    })
}

#[track_caller]
fn assert_contrast(palette: &Palette, role: Role, ground: Role, least: f64) {
    let ratio = contrast(palette.colour(role), palette.colour(ground));
    assert!(
        ratio >= least,
        "{}: {role} on {ground} has {ratio:.2}, needs {least}",
        palette.name
    );
}

/// Lettering, outlines, and the marks that carry a figure.
const LETTERING: [Role; 16] = [
    Role::Text,
    Role::TextSoft,
    Role::Title,
    Role::Callout,
    Role::Dimension,
    Role::Ink,
    Role::InkSoft,
    Role::Wall,
    Role::Ruler,
    Role::Clash,
    Role::Tight,
    Role::Short,
    Role::Ghost,
    Role::Caution,
    Role::Remark,
    Role::Selected,
];

/// What is laid over parts and has to be seen there.
const OVER_PARTS: [Role; 13] = [
    Role::Ink,
    Role::InkSoft,
    Role::Hidden,
    Role::Centre,
    Role::Selected,
    Role::Hover,
    Role::Clash,
    Role::Tight,
    Role::Short,
    Role::Ghost,
    Role::Unheld,
    Role::Caution,
    Role::Remark,
];

#[test]
fn the_measures_give_their_published_values() {
    // WCAG: black on white is 21:1; #777777 on white is the known near miss at 4.48.
    assert!((contrast(Rgba::hex(0), Rgba::hex(0xffffff)) - 21.0).abs() < 1e-9);
    assert!((contrast(Rgba::hex(0x777777), Rgba::hex(0xffffff)) - 4.48).abs() < 0.005);
    // L*a*b* of the sRGB primary red under D65: 53.24, 80.09, 67.20 (handbook value).
    let red = lab(&NORMAL, Rgba::hex(0xff0000));
    for (found, known) in red.into_iter().zip([53.24, 80.09, 67.20]) {
        assert!((found - known).abs() < 0.02, "{found} {known}");
    }
    // Greys stay grey to every eye: rows of the matrices sum to one.
    for eye in [PROTANOPIA, DEUTERANOPIA] {
        assert!(difference(&NORMAL, Rgba::hex(0x808080), Rgba::hex(0x808080)) < 1e-9);
        assert!(
            eye.iter()
                .all(|row| (row.iter().sum::<f64>() - 1.0).abs() < 1e-4)
        );
    }
}

#[test]
fn lettering_and_marks_stand_out_from_the_paper() {
    for palette in &Palette::ALL {
        // WCAG 2.1: 1.4.3 and 1.4.6 for text, 1.4.11 for graphics.
        let (text, graphic) = if palette.high_contrast {
            (7.0, 4.5)
        } else {
            (4.5, 3.0)
        };
        for role in Role::all() {
            match role {
                Role::Paper | Role::Grid(_) | Role::Fill(_) | Role::Face(..) => {}
                _ if LETTERING.contains(&role) => assert_contrast(palette, role, Role::Paper, text),
                _ => assert_contrast(palette, role, Role::Paper, graphic),
            }
        }
    }
}

#[test]
fn lettering_findings_and_cables_stand_out_from_every_tint() {
    for palette in &Palette::ALL {
        let text = if palette.high_contrast { 7.0 } else { 4.5 };
        for ground in System::ALL.map(Role::Fill) {
            for role in [
                Role::Text,
                Role::TextSoft,
                Role::Title,
                Role::Callout,
                Role::Dimension,
            ] {
                assert_contrast(palette, role, ground, text);
            }
            for role in OVER_PARTS.into_iter().chain(System::ALL.map(Role::Cable)) {
                assert_contrast(palette, role, ground, 3.0);
            }
        }
        for system in System::ALL {
            assert_contrast(palette, Role::Detail(system), Role::Fill(system), 3.0);
        }
    }
}

#[test]
fn systems_differ_for_colour_blind_eyes_and_in_grey_print() {
    // A difference of 2.3 is just noticeable side by side (Mahy et al. 1994, from memory).
    const NOTICEABLE: f64 = 2.3;
    for palette in &Palette::ALL {
        for (a, b) in pairs() {
            for (eye, kind) in [
                (NORMAL, "normal"),
                (PROTANOPIA, "protan"),
                (DEUTERANOPIA, "deutan"),
            ] {
                for roles in [
                    [Role::Fill(a), Role::Fill(b)],
                    [Role::Cable(a), Role::Cable(b)],
                ] {
                    let [one, other] = roles.map(|role| palette.colour(role));
                    let seen = difference(&eye, one, other);
                    assert!(
                        seen >= 4.0 * NOTICEABLE,
                        "{}, {kind}: {roles:?} {seen:.1}",
                        palette.name
                    );
                }
            }
            let [one, other] =
                [a, b].map(|system| lab(&NORMAL, palette.colour(Role::Fill(system)))[0]);
            assert!(
                (one - other).abs() >= NOTICEABLE,
                "{}, grey: {a:?} {b:?}",
                palette.name
            );
        }
        for (one, other) in [
            (Role::ZoneOpen, Role::ZoneNo),
            (Role::Selected, Role::Clash),
            (Role::Selected, Role::Hover),
        ] {
            for eye in [NORMAL, PROTANOPIA, DEUTERANOPIA] {
                let seen = difference(&eye, palette.colour(one), palette.colour(other));
                assert!(
                    seen >= 4.0 * NOTICEABLE,
                    "{}: {one} {other} {seen:.1}",
                    palette.name
                );
            }
        }
    }
}

#[test]
fn grid_and_tints_stay_in_the_background() {
    for palette in &Palette::ALL {
        let paper = palette.colour(Role::Paper);
        let steps = [GridStep::Mm1, GridStep::Mm10, GridStep::Mm100];
        let ratios = steps.map(|step| contrast(palette.colour(Role::Grid(step)), paper));
        assert!(
            1.02 < ratios[0] && ratios[0] < ratios[1] && ratios[1] < ratios[2] && ratios[2] < 3.0,
            "{ratios:?}"
        );
        for system in System::ALL {
            assert!(contrast(palette.colour(Role::Fill(system)), paper) < 3.0);
        }
    }
}

#[test]
fn edges_stand_out_from_every_face_and_faces_from_one_another() {
    for palette in &Palette::ALL {
        for system in System::ALL {
            let face = |step| Role::Face(system, Tone::new(step));
            for step in 0..=Tone::DARKEST {
                assert_contrast(palette, Role::Ink, face(step), 3.0);
            }
            // 2.3 is just noticeable (as above); tops, fronts and sides are steps apart.
            let lightness = |step| lab(&NORMAL, palette.colour(face(step)))[0];
            let apart = lightness(0) - lightness(Tone::DARKEST);
            assert!(apart > 2.3, "{}: {system:?} {apart:.1}", palette.name);
            let plain = if palette.dark { Tone::DARKEST } else { 0 };
            assert_eq!(
                palette.colour(face(plain)),
                palette.colour(Role::Fill(system))
            );
        }
    }
}

#[test]
fn choices_and_mixes() {
    for palette in Palette::ALL {
        assert_eq!(
            Palette::choose(palette.dark, palette.high_contrast),
            palette
        );
        let darker = luminance(palette.colour(Role::Paper)) < luminance(palette.colour(Role::Ink));
        assert_eq!(darker, palette.dark);
        assert_eq!(palette.wash(Role::ZoneOpen).a, WASH);
    }
    assert_eq!(
        Rgba::hex(0x0010ff).mix(Rgba::hex(0x8010ff), 0.5),
        Rgba::hex(0x4010ff)
    );
}
