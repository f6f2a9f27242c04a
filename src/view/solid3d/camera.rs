//! From which corner the enclosure is looked at, and where a point then shows.

use super::vector::{P3, cross, dot, scaled, sub, unit};

/// One of the eight corners of the enclosure, from which it is looked at.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Corner(u8);

impl Corner {
    /// All eight; number 1 first.
    pub const ALL: [Corner; 8] = [
        Corner(0),
        Corner(1),
        Corner(2),
        Corner(3),
        Corner(4),
        Corner(5),
        Corner(6),
        Corner(7),
    ];

    /// The corner with this number, 1 to 8: from above and then from below, each
    /// front left, front right, rear right, rear left.
    pub fn numbered(number: u32) -> Option<Corner> {
        let index = usize::try_from(number).ok()?.checked_sub(1)?;
        Corner::ALL.get(index).copied()
    }

    /// Its number, 1 to 8.
    pub const fn number(self) -> u32 {
        self.0 as u32 + 1
    }

    /// From where, in words.
    pub const fn name(self) -> &'static str {
        match self.0 {
            0 => "from the front, left and above",
            1 => "from the front, right and above",
            2 => "from the rear, right and above",
            3 => "from the rear, left and above",
            4 => "from the front, left and below",
            5 => "from the front, right and below",
            6 => "from the rear, right and below",
            _ => "from the rear, left and below",
        }
    }

    /// The signs of the direction from the enclosure to the eye along x, y and z.
    pub const fn signs(self) -> [f64; 3] {
        let right = matches!(self.0 % 4, 1 | 2);
        let rear = matches!(self.0 % 4, 2 | 3);
        [
            if right { 1.0 } else { -1.0 },
            if rear { 1.0 } else { -1.0 },
            if self.0 < 4 { 1.0 } else { -1.0 },
        ]
    }
}

/// How many diagonals of what is drawn the eye is away in perspective.
const AWAY: f64 = 2.6;

/// Maps points to the picture: x right, y up, z towards the eye. Planes stay planes
/// and straight lines straight, in perspective as well.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Camera {
    right: P3,
    up: P3,
    eye: P3,
    centre: P3,
    /// Distance of the eye from the centre; none where lines of sight are parallel.
    distance: Option<f64>,
}

impl Camera {
    /// Isometric from a corner: the three axes are foreshortened alike (ISO 5456-3).
    /// With `perspective` seen from not too near, so that lines hardly converge.
    pub fn new(corner: Corner, centre: P3, diagonal: f64, perspective: bool) -> Camera {
        let eye = unit(corner.signs());
        let right = unit(cross([0.0, 0.0, 1.0], eye));
        Camera {
            right,
            up: cross(eye, right),
            eye,
            centre,
            distance: (perspective && diagonal > 0.0).then_some(AWAY * diagonal),
        }
    }

    /// Where a point shows.
    pub fn see(&self, p: P3) -> P3 {
        let d = sub(p, self.centre);
        let at = [dot(d, self.right), dot(d, self.up), dot(d, self.eye)];
        match self.distance {
            None => at,
            // A projective map of space, so that depths can be compared on planes.
            Some(away) => scaled(at, away / (away - at[2]).max(away * 0.05)),
        }
    }

    /// A direction of space along right, up and towards the eye.
    pub fn turned(&self, d: P3) -> P3 {
        [dot(d, self.right), dot(d, self.up), dot(d, self.eye)]
    }

    /// Where the line of sight through (x, y) of the picture starts, and its way.
    #[cfg(test)]
    pub fn ray(&self, x: f64, y: f64) -> (P3, P3) {
        use super::vector::add;
        let through = add(self.centre, add(scaled(self.right, x), scaled(self.up, y)));
        let from = match self.distance {
            Some(away) => add(self.centre, scaled(self.eye, away)),
            None => add(through, scaled(self.eye, 1e4)),
        };
        (from, unit(sub(through, from)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn axes_are_foreshortened_alike_and_120_degrees_apart() {
        // ISO 5456-3, isometric axonometry: each axis by the square root of two thirds.
        for corner in Corner::ALL {
            let camera = Camera::new(corner, [0.0; 3], 1.0, false);
            let mut ways = Vec::new();
            for k in 0..3 {
                let mut axis = [0.0; 3];
                axis[k] = corner.signs()[k];
                let [x, y, _] = camera.see(axis);
                assert!((x.hypot(y) - (2.0_f64 / 3.0).sqrt()).abs() < 1e-12);
                ways.push(y.atan2(x).to_degrees());
            }
            let apart = (ways[0] - ways[1]).rem_euclid(360.0);
            assert!((apart - 120.0).abs() < 1e-9 || (apart - 240.0).abs() < 1e-9);
            // Up is up on the page, and nothing is mirrored.
            assert!(camera.see([0.0, 0.0, 1.0])[1] > 0.0);
            let (right, up) = (camera.right, camera.up);
            assert!(dot(cross(right, up), camera.eye) > 0.99);
            assert_eq!(Corner::numbered(corner.number()), Some(corner));
        }
        assert_eq!(Corner::numbered(0), None);
        assert_eq!(Corner::numbered(9), None);
    }

    #[test]
    fn planes_stay_planes_in_perspective() {
        let camera = Camera::new(Corner::default(), [10.0, 20.0, 30.0], 300.0, true);
        // Four points of one plane; the third difference of a flat patch is nil.
        let seen = [[0.0, 0.0], [100.0, 0.0], [0.0, 80.0], [70.0, 90.0]]
            .map(|[x, y]| camera.see([x, y, 0.3 * x - 0.2 * y + 5.0]));
        let [a, b, c, d] = seen;
        let normal = cross(sub(b, a), sub(c, a));
        assert!(dot(unit(normal), sub(d, a)).abs() < 1e-9);
        // Nearer is larger.
        let near = camera.see([10.0 - 50.0, 20.0 - 50.0, 30.0 + 50.0]);
        assert!(near[2] > 0.0);
    }
}
