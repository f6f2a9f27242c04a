//! Details by kind: sockets, slots, chips, grilles, labels and so on.

use super::canvas::{Canvas, LEAST, Seen, Shape, soft};
use super::pattern;
use super::surface::{badge, fins, grille, label, rotor, switch};
use crate::model::FeatureKind;
use crate::view::list::{Path, Point2, Rect};

/// Draws every feature that shows.
pub fn all(c: &mut Canvas<'_>) {
    except(c, &[]);
}

/// Draws every feature that shows, but not of the given kinds.
pub fn except(c: &mut Canvas<'_>, not: &[FeatureKind]) {
    let kind = c.kind;
    let mut seen: Vec<(FeatureKind, Seen)> = kind
        .features
        .iter()
        .filter(|f| !not.contains(&f.kind))
        .map(|f| (f.kind, c.seen(&f.solid)))
        .filter(|(_, s)| {
            let r = s.shape.rect();
            r.width().max(r.height()) >= LEAST && r.width().min(r.height()) >= 0.15
        })
        .filter(|(_, s)| c.is_open(s.shape.rect(), s.near, s.far))
        .collect();
    seen.sort_by_key(|(_, s)| s.far);
    for (kind, s) in seen {
        let level = c.level(s.shape.rect(), s.far);
        one(c, kind, level, &s.shape);
    }
}

/// Draws one feature.
pub fn one(c: &mut Canvas<'_>, kind: FeatureKind, level: i64, shape: &Shape) {
    let r = shape.rect();
    let small = r.width().min(r.height()) < LEAST;
    let path = shape.rounded(0.4 * c.scale);
    match kind {
        _ if small => c.fine(level, path),
        FeatureKind::Socket => socket(c, level, shape),
        FeatureKind::Slot => slot(c, level, r),
        FeatureKind::RearBlock => rear_block(c, level, r),
        FeatureKind::Processor => processor(c, level, r),
        FeatureKind::Chip => chip(c, level, r),
        FeatureKind::Heatsink => {
            c.inset(level, path);
            let upright = r.width() >= r.height();
            fins(c, level, r, 2.6, upright);
        }
        FeatureKind::Fins => {
            c.block(level, path);
            let upright = r.width() >= r.height();
            fins(c, level, r, 2.0, upright);
        }
        FeatureKind::Blades => rotor(c, level, shape, None, true),
        FeatureKind::Hub => {
            c.block(level, path);
            if let Some((centre, radius)) = shape.circle() {
                c.fine(level, Path::circle(centre, radius * 0.72));
            }
        }
        FeatureKind::Grille => grille(c, level, shape),
        FeatureKind::Connector => connector(c, level, r),
        FeatureKind::HoseEnd => hose_end(c, level, shape),
        FeatureKind::Bracket => {
            c.block(level, path);
            if c.shows(r.width().min(r.height()) / c.scale / 6.0) {
                c.fine(
                    level,
                    Path::rect(r.grown(-0.12 * r.width().min(r.height()))),
                );
            }
        }
        FeatureKind::Pipe => {
            c.block(level, soft(r, r.width().min(r.height()) / 2.0));
        }
        FeatureKind::Label => match shape.circle() {
            Some((centre, radius)) => badge(c, level, centre, radius),
            None => label(c, level, r),
        },
        FeatureKind::Switch => switch(c, level, r),
    }
}

fn socket(c: &mut Canvas<'_>, level: i64, shape: &Shape) {
    let r = shape.rect();
    c.inset(level, shape.rounded(0.4 * c.scale));
    let short = r.width().min(r.height());
    if short < 1.6 {
        return;
    }
    let inner = r.grown(-short * 0.2);
    c.void(level, Path::rect(inner));
    c.fine(level, Path::rect(inner));
    if short < 3.2 {
        return;
    }
    // Contacts in rows along the longer side, at the usual pitch of about 4 mm.
    let pitch = (4.2 * c.scale).max(1.4);
    let (nx, ny) = (inner.width() / pitch, inner.height() / pitch);
    let (nx, ny) = (nx.clamp(1.0, 24.0) as usize, ny.clamp(1.0, 24.0) as usize);
    let mut pins = Path::new();
    for i in 0..nx * ny {
        let t = |k: usize, n: usize| (k as f64 + 0.5) / n as f64;
        let at = Point2::new(
            inner.min.x + t(i % nx, nx) * inner.width(),
            inner.min.y + t(i / nx, ny) * inner.height(),
        );
        let half = pitch * 0.16;
        pins = pins.with(&Path::rect(Rect::spanning(at, at).grown(half)));
    }
    c.fine(level, pins);
}

fn slot(c: &mut Canvas<'_>, level: i64, r: Rect) {
    let (wide, short) = (r.width() >= r.height(), r.width().min(r.height()));
    c.inset(level, soft(r, 0.4 * c.scale));
    if short < 1.0 {
        return;
    }
    let slit = Rect::spanning(
        r.min
            + if wide {
                Point2::new(short * 0.5, short * 0.36)
            } else {
                Point2::new(short * 0.36, short * 0.5)
            },
        r.max
            - if wide {
                Point2::new(short * 0.5, short * 0.36)
            } else {
                Point2::new(short * 0.36, short * 0.5)
            },
    );
    c.void(level, Path::rect(slit));
    c.fine(level, Path::rect(slit));
}

fn rear_block(c: &mut Canvas<'_>, level: i64, r: Rect) {
    c.inset(level, Path::rect(r));
    // A row of shells side by side along the longer way.
    let wide = r.width() >= r.height();
    let short = r.width().min(r.height());
    if short < 2.0 {
        return;
    }
    c.fine(level, pattern::fins(r, 17.0 * c.scale, wide));
    let lip = if wide {
        Rect::sized(
            r.min.x,
            r.min.y + 0.82 * r.height(),
            r.width(),
            0.18 * r.height(),
        )
    } else {
        Rect::sized(
            r.min.x + 0.82 * r.width(),
            r.min.y,
            0.18 * r.width(),
            r.height(),
        )
    };
    if short >= 5.0 {
        c.fine(level, Path::rect(lip));
    }
}

fn processor(c: &mut Canvas<'_>, level: i64, r: Rect) {
    let short = r.width().min(r.height());
    c.block(level, soft(r, 1.0 * c.scale));
    if short < 3.0 {
        return;
    }
    let frame = r.grown(-short * 0.10);
    c.fine(level, soft(frame, 0.8 * c.scale));
    let lid = r.grown(-short * 0.22);
    c.tone(level, soft(lid, 1.2 * c.scale));
    c.line(level, soft(lid, 1.2 * c.scale));
    if short >= 6.0 {
        // The corner mark of the first contact.
        let (at, s) = (Point2::new(lid.min.x, lid.max.y), short * 0.06);
        let o = Point2::new(s * 0.8, -s * 0.8);
        let mark = [
            at + o,
            at + o + Point2::new(s, 0.0),
            at + o + Point2::new(0.0, -s),
        ];
        c.pen(level)
            .fill(Path::polygon(mark), crate::view::list::Role::InkSoft);
        let x = r.max.x - short * 0.05;
        c.line(
            level,
            Path::line((x, r.min.y + short * 0.15), (x, r.max.y - short * 0.1)),
        );
    }
}

fn chip(c: &mut Canvas<'_>, level: i64, r: Rect) {
    let short = r.width().min(r.height());
    c.inset(level, Path::rect(r));
    if short >= 2.5 {
        let at = r.min + Point2::new(short * 0.2, short * 0.2);
        c.fine(level, Path::circle(at, (short * 0.07).min(0.5)));
    }
}

fn connector(c: &mut Canvas<'_>, level: i64, r: Rect) {
    let (wide, short) = (r.width() >= r.height(), r.width().min(r.height()));
    c.inset(level, soft(r, 0.3 * c.scale));
    if short < 1.4 {
        return;
    }
    let inset = r.grown(-short * 0.22);
    c.void(level, Path::rect(inset));
    c.fine(
        level,
        Path::rect(inset).with(&pattern::fins(inset, 2.54 * c.scale, wide)),
    );
}

fn hose_end(c: &mut Canvas<'_>, level: i64, shape: &Shape) {
    if let Some((centre, radius)) = shape.circle() {
        c.block(level, Path::circle(centre, radius));
        if radius >= 1.0 {
            c.void(level, Path::circle(centre, radius * 0.6));
            c.line(level, Path::circle(centre, radius * 0.6));
        }
        return;
    }
    let r = shape.rect();
    c.block(level, soft(r, 0.5 * c.scale));
    // Barbs across the way of the hose: its longer way.
    let wide = r.width() >= r.height();
    if r.width().min(r.height()) >= 1.6 {
        c.fine(level, pattern::fins(r, 4.5 * c.scale, wide));
    }
}
