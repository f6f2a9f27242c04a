//! The pen: adds marks that share an owner, a height and a place.

use super::{
    Affine, Dimension, DrawList, Fill, Hatch, Item, Layer, Line, Mark, Owner, Path, Role, System,
    Text,
};

/// Adds marks to a [`DrawList`], each with the pen's owner, layer, z and map.
///
/// The setters take the pen by value and are meant for making one; the drawing
/// methods return the pen for chaining.
#[derive(Debug)]
pub struct Pen<'a> {
    list: &'a mut DrawList,
    owner: Option<Owner>,
    layer: Option<Layer>,
    z: i32,
    map: Affine,
}

impl<'a> Pen<'a> {
    pub(super) fn new(list: &'a mut DrawList) -> Self {
        Self {
            list,
            owner: None,
            layer: None,
            z: 0,
            map: Affine::IDENTITY,
        }
    }

    /// Marks belong to `owner`.
    #[must_use]
    pub fn owner(mut self, owner: Owner) -> Self {
        self.owner = Some(owner);
        self
    }

    /// Marks cannot be pointed at.
    #[must_use]
    pub fn no_owner(mut self) -> Self {
        self.owner = None;
        self
    }

    /// Marks go to this layer instead of the one of their role.
    #[must_use]
    pub fn layer(mut self, layer: Layer) -> Self {
        self.layer = Some(layer);
        self
    }

    /// Order within the layer; higher is on top.
    #[must_use]
    pub fn z(mut self, z: i32) -> Self {
        self.z = z;
        self
    }

    /// Marks are first mapped by `map`, then as before: drawings can be written in
    /// their own frame, and placed within one another.
    #[must_use]
    pub fn place(mut self, map: Affine) -> Self {
        self.map = map.then(self.map);
        self
    }

    /// A second pen on the same list with the same settings, to change for a while.
    pub fn fork(&mut self) -> Pen<'_> {
        Pen {
            list: self.list,
            owner: self.owner,
            layer: self.layer,
            z: self.z,
            map: self.map,
        }
    }

    /// The map from the frame that is drawn in to the page.
    pub fn map(&self) -> Affine {
        self.map
    }

    /// Marks are placed straight on the page.
    #[must_use]
    pub fn unplaced(mut self) -> Self {
        self.map = Affine::IDENTITY;
        self
    }

    /// Adds a dimension: points in the pen's frame, sizes on paper.
    pub fn dimension(&mut self, dimension: &Dimension) -> &mut Self {
        dimension.draw(self);
        self
    }

    /// Adds a mark.
    pub fn mark(&mut self, mark: Mark, role: Role) -> &mut Self {
        let mark = if self.map == Affine::IDENTITY {
            mark
        } else {
            mark.mapped(self.map)
        };
        let layer = self.layer.unwrap_or(role.layer());
        self.list.items.push(Item {
            mark,
            role,
            owner: self.owner,
            layer,
            z: self.z,
        });
        self
    }

    /// Fills an area.
    pub fn fill(&mut self, path: Path, role: Role) -> &mut Self {
        self.mark(
            Mark::Path {
                path,
                fill: Fill::Solid,
                stroke: None,
            },
            role,
        )
    }

    /// Fills an area, see-through.
    pub fn wash(&mut self, path: Path, role: Role) -> &mut Self {
        self.mark(
            Mark::Path {
                path,
                fill: Fill::Wash,
                stroke: None,
            },
            role,
        )
    }

    /// Strokes an outline.
    pub fn stroke(&mut self, path: Path, line: Line, role: Role) -> &mut Self {
        self.mark(
            Mark::Path {
                path,
                fill: Fill::None,
                stroke: Some(line),
            },
            role,
        )
    }

    /// Strokes an outline and fills it see-through, in one role.
    pub fn stroke_and_wash(&mut self, path: Path, line: Line, role: Role) -> &mut Self {
        self.mark(
            Mark::Path {
                path,
                fill: Fill::Wash,
                stroke: Some(line),
            },
            role,
        )
    }

    /// A body in outline: the faint ground of its system and a thick edge in ink.
    pub fn body(&mut self, path: Path, system: System) -> &mut Self {
        self.fill(path.clone(), Role::Fill(system))
            .stroke(path, Line::THICK, Role::Ink)
    }

    /// A round hole of the given radius: paper inside, thin edge.
    pub fn hole(&mut self, centre: impl Into<super::Point2>, radius: f64) -> &mut Self {
        let layer = self.layer.unwrap_or(Role::InkSoft.layer());
        let path = Path::circle(centre, radius);
        // Paper as a role lies in the ground layer; inside a part it has to cover the part.
        self.fork()
            .layer(layer)
            .fill(path.clone(), Role::Paper)
            .stroke(path, Line::THIN, Role::InkSoft);
        self
    }

    /// Hatches an area.
    pub fn hatch(&mut self, hatch: Hatch, role: Role) -> &mut Self {
        self.mark(Mark::Hatch(hatch), role)
    }

    /// Adds lettering.
    pub fn text(&mut self, text: Text, role: Role) -> &mut Self {
        self.mark(Mark::Text(text), role)
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Point2, Rect, Width};
    use super::*;

    #[test]
    fn inner_drawings_are_placed_within_outer_ones() {
        let mut list = DrawList::new();
        let mut pen = list
            .pen()
            .owner(Owner::Part(7))
            .place(Affine::shift(100.0, 0.0));
        pen.fork().z(2).place(Affine::scale(2.0, 2.0)).stroke(
            Path::line((1.0, 0.0), (2.0, 0.0)),
            Line::true_width(3.0),
            Role::Ink,
        );
        pen.fill(Path::rect(Rect::sized(0.0, 0.0, 1.0, 1.0)), Role::Ink);
        let [inner, outer] = &list.items[..] else {
            panic!("two items")
        };
        assert_eq!(
            inner.mark.bounds().map(|b| b.centre()),
            Some(Point2::new(103.0, 0.0))
        );
        let Mark::Path {
            stroke: Some(line), ..
        } = &inner.mark
        else {
            panic!("a stroke")
        };
        assert_eq!(line.width, Width::True(6.0));
        assert_eq!((inner.z, inner.owner), (2, Some(Owner::Part(7))));
        assert_eq!((outer.z, outer.owner), (0, Some(Owner::Part(7))));
    }

    #[test]
    fn paint_order_is_layer_then_height_then_time() {
        let mut list = DrawList::new();
        let dot = || Path::circle((0.0, 0.0), 1.0);
        list.pen().z(9).fill(dot(), Role::Ink);
        list.pen()
            .z(1)
            .fill(dot(), Role::InkSoft)
            .fill(dot(), Role::Hidden);
        list.pen().z(99).fill(dot(), Role::Paper);
        list.pen().fill(dot(), Role::Clash);
        let order: Vec<Role> = list.in_paint_order().iter().map(|item| item.role).collect();
        assert_eq!(
            order,
            [
                Role::Paper,
                Role::InkSoft,
                Role::Hidden,
                Role::Ink,
                Role::Clash
            ]
        );
    }

    #[test]
    fn a_hole_covers_the_part_it_is_in() {
        let mut list = DrawList::new();
        let mut pen = list.pen();
        pen.body(Path::rect(Rect::sized(0.0, 0.0, 9.0, 9.0)), System::Boards)
            .hole((4.0, 4.0), 1.6);
        let last: Vec<Role> = list
            .in_paint_order()
            .iter()
            .rev()
            .take(2)
            .map(|item| item.role)
            .collect();
        assert_eq!(last, [Role::InkSoft, Role::Paper]);
    }
}
