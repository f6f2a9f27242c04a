//! Frame, title block, projection symbol, scale bar.

use super::PictureOptions;
use super::layout::Plan;
use crate::model::Shop;
use crate::view::labels::{shortened, wrapped};
use crate::view::list::{
    DrawList, HAlign, Image, Layer, Line, Mark, Path, Pen, Point2, Rect, Role, Text, TextSize,
    VAlign,
};
use crate::view::sheet::SheetInput;

/// What every picture says about its figures.
pub const NOTE: &str = "planning figures: measure before ordering";

/// Draws the frame, the title block and the scale bar.
pub(super) fn draw(
    list: &mut DrawList,
    input: &SheetInput<'_>,
    options: &PictureOptions,
    plan: &Plan,
) {
    let mut pen = list.pen().layer(Layer::Notes);
    pen.stroke(Path::rect(plan.frame), Line::THICK, Role::Ruler);
    block(&mut pen, input, options, plan);
    if let (Some(strip), Some(shop)) = (plan.shop, &options.shop) {
        maker(&mut pen, strip, shop);
    }
    if plan.views.is_empty() {
        pen.stroke(Path::rect(plan.bar), Line::THIN, Role::Ruler);
    } else {
        bar(&mut pen, plan);
    }
}

/// The shop: a stroke of its colour, logo, name and lines.
fn maker(pen: &mut Pen<'_>, strip: Rect, shop: &Shop) {
    pen.stroke(Path::rect(strip), Line::THIN, Role::Ruler);
    let bar = Rect::sized(strip.min.x, strip.min.y, 1.6, strip.height());
    pen.fill(Path::rect(bar), Role::Accent);
    let inner = Rect::spanning(
        (strip.min.x + 4.0, strip.min.y + 2.0),
        strip.max - Point2::new(2.0, 2.0),
    );
    let mut x = inner.min.x;
    if let Some(logo) = &shop.logo {
        let room = Rect::sized(x, inner.min.y, 30.0, inner.height());
        let image = Image::within(room, logo.clone());
        x = image.rect.max.x + 3.0;
        pen.mark(Mark::Image(image), Role::Accent);
    }
    let room = inner.max.x - x;
    let mut put = |text: Text, role: Role| {
        let short = shortened(&text, room);
        pen.text(
            Text {
                text: short,
                ..text
            },
            role,
        );
    };
    let lines = shop.lines.len().min(2);
    let top = inner.centre().y - 1.7 * lines as f64;
    let name = Text::new((x, top + 1.25), &shop.name)
        .size(TextSize::Body)
        .bold();
    put(name, Role::Title);
    for (i, line) in shop.lines.iter().take(2).enumerate() {
        let text = Text::new((x, top + 5.0 + 3.6 * i as f64), line).size(TextSize::Small);
        put(text, Role::TextSoft);
    }
}

fn block(pen: &mut Pen<'_>, input: &SheetInput<'_>, options: &PictureOptions, plan: &Plan) {
    let b = plan.block;
    let inner = b.grown(-3.0);
    pen.stroke(Path::rect(b), Line::THIN, Role::Ruler);
    let title = options.title.as_deref().unwrap_or(&input.scene.title);
    let probe = Text::new((0.0, 0.0), title).size(TextSize::Head).bold();
    let mut lines = wrapped(&probe, inner.width());
    if lines.len() > 2 {
        let rest = lines.split_off(1).join(" ");
        lines.push(rest);
    }
    let mut y = inner.min.y + 3.5;
    let one = lines.len() == 1;
    for line in lines {
        let whole = Text {
            text: line,
            ..probe.clone()
        };
        let text = shortened(&whole, inner.width());
        pen.text(
            Text {
                at: Point2::new(inner.min.x, y),
                text,
                ..whole
            },
            Role::Title,
        );
        y += 6.0;
    }
    let enclosure = &input.scene.enclosure;
    let size = enclosure.size;
    let mut about = format!(
        "{}, {} x {} x {} mm",
        enclosure.name, size.x, size.y, size.z
    );
    let arrangements = &input.scene.arrangements;
    if plan.named && arrangements.len() > 1 {
        let named = format!("arrangement: {}", input.scene.arrangement().name);
        if one {
            let line = Text::new((inner.min.x, b.min.y + 12.8), named).size(TextSize::Small);
            let short = shortened(&line, inner.width());
            pen.text(
                Text {
                    text: short,
                    ..line
                },
                Role::Text,
            );
        } else {
            about = format!("{named}; {about}");
        }
    }
    let about = Text::new((inner.min.x, b.min.y + 18.2), about).size(TextSize::Small);
    let short = shortened(&about, inner.width());
    pen.text(
        Text {
            text: short,
            ..about
        },
        Role::Text,
    );

    let (upper, lower) = (b.min.y + 21.5, b.max.y - 7.5);
    let thirds = [0.0, 0.43, 0.68, 1.0].map(|t| b.min.x + t * b.width());
    let mut rules = Path::line((b.min.x, upper), (b.max.x, upper));
    rules.move_to((b.min.x, lower)).line_to((b.max.x, lower));
    for x in &thirds[1..3] {
        rules.move_to((*x, upper)).line_to((*x, lower));
    }
    pen.stroke(rules, Line::HAIR, Role::Ruler);
    let mut field = |i: usize, head: &str, value: &str| {
        let room = thirds[i + 1] - thirds[i] - 4.0;
        let x = thirds[i] + 2.5;
        let head = Text::new((x, upper + 3.6), head).size(TextSize::Cap(1.5));
        let value = Text::new((x, upper + 9.0), value).size(TextSize::Body);
        let value = if value.width() > room {
            value.size(TextSize::Small)
        } else {
            value
        };
        let short = shortened(&value, room);
        pen.text(head, Role::TextSoft);
        pen.text(
            Text {
                text: short,
                ..value
            },
            Role::Text,
        );
    };
    field(0, "date", &options.date);
    if plan.views.is_empty() {
        field(1, "scale", "none");
    } else {
        field(1, "scale", &scale_text(plan.scale));
    }
    let cell = Rect::spanning((thirds[2], upper), (thirds[3], lower));
    symbol(pen, cell);
    let note = Text::new((b.centre().x, (lower + b.max.y) / 2.0), NOTE)
        .size(TextSize::Small)
        .middle();
    pen.text(note, Role::Text);
}

/// `1:2.5`, `2:1`.
fn scale_text(scale: f64) -> String {
    let round = |v: f64| {
        let text = format!("{v:.2}");
        let text = text.trim_end_matches('0').trim_end_matches('.');
        text.to_owned()
    };
    if scale >= 1.0 {
        format!("{}:1", round(scale))
    } else {
        format!("1:{}", round(1.0 / scale))
    }
}

/// The symbol of third-angle projection: a truncated cone seen from its small end,
/// and at the right of that its side view, the small end at the left (ISO 5456-2,
/// proportions from memory).
fn symbol(pen: &mut Pen<'_>, cell: Rect) {
    let h = (cell.height() / 6.0).min(cell.width() / 9.0).min(2.2);
    let m = cell.centre();
    let (circles, cone) = (m - Point2::new(2.6 * h, 0.0), m + Point2::new(2.2 * h, 0.0));
    let (small, large, half) = (h, 2.0 * h, 2.0 * h);
    let outline = Path::polygon([
        cone + Point2::new(-half, -small),
        cone + Point2::new(half, -large),
        cone + Point2::new(half, large),
        cone + Point2::new(-half, small),
    ]);
    let rings = Path::circle(circles, small).with(&Path::circle(circles, large));
    pen.stroke(outline.with(&rings), Line::THIN, Role::Ruler);
    let reach = large + 0.8;
    let axes = Path::cross(circles, reach).with(&Path::line(
        cone - Point2::new(half + 0.8, 0.0),
        cone + Point2::new(half + 0.8, 0.0),
    ));
    pen.stroke(
        axes,
        Line::new(
            crate::view::list::Width::Hair,
            crate::view::list::LineType::Chain,
        ),
        Role::Centre,
    );
}

/// A bar of five fields, filled in turn, with its length in millimetres.
fn bar(pen: &mut Pen<'_>, plan: &Plan) {
    let room = plan.bar.width() - 8.0;
    pen.stroke(Path::rect(plan.bar), Line::THIN, Role::Ruler);
    // 5, 10, 20, 50 and so on: the longest that has room.
    let lengths = (0..6).flat_map(|n| [5.0, 10.0, 20.0].map(|l| l * 10f64.powi(n)));
    let fitting = lengths.filter(|mm| mm * plan.scale <= room);
    let length = fitting.fold(5.0, f64::max);
    let step = length * plan.scale / 5.0;
    let (at, high) = (Point2::new(plan.bar.min.x + 3.0, plan.bar.max.y - 2.8), 1.5);
    for i in 0..5 {
        let field = Path::rect(Rect::sized(
            at.x + step * f64::from(i),
            at.y - high,
            step,
            high,
        ));
        if i % 2 == 0 {
            pen.fill(field.clone(), Role::Ruler);
        }
        pen.stroke(field, Line::HAIR, Role::Ruler);
    }
    let figure = |x: f64, text: String, h: HAlign| {
        Text::new((x, at.y - high - 0.9), text)
            .size(TextSize::Small)
            .anchored(h, VAlign::Baseline)
    };
    let end = at.x + 5.0 * step;
    pen.text(figure(at.x, "0".to_owned(), HAlign::Left), Role::Text);
    pen.text(
        figure(end, format!("{length} mm"), HAlign::Right),
        Role::Text,
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_read_as_ratios() {
        // ISO 5455 form: 1:X for reduction, X:1 for enlargement, from memory.
        assert_eq!(scale_text(0.5), "1:2");
        assert_eq!(scale_text(0.4), "1:2.5");
        assert_eq!(scale_text(1.0 / 3.0), "1:3");
        assert_eq!(scale_text(2.0), "2:1");
        assert_eq!(scale_text(1.0), "1:1");
    }

    #[test]
    fn the_small_end_of_the_symbol_points_at_its_circles() {
        // Third angle: what is seen from the left stands at the left, and both
        // circles show only from the small end.
        let mut list = DrawList::new();
        symbol(&mut list.pen(), Rect::sized(0.0, 0.0, 30.0, 14.0));
        let crate::view::list::Mark::Path { path, .. } = &list.items[0].mark else {
            panic!("an outline");
        };
        let lines = path.flattened(0.01);
        let cone = &lines[0].points;
        let left = cone
            .iter()
            .filter(|p| p.x < 17.0)
            .map(|p| (p.y - 7.0).abs());
        let right = cone
            .iter()
            .filter(|p| p.x > 19.0)
            .map(|p| (p.y - 7.0).abs());
        assert!(left.fold(0.0, f64::max) < right.fold(0.0, f64::max));
        assert!(lines[1].points.iter().all(|p| p.x < cone[0].x));
    }
}
