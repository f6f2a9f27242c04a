//! How thick a bundle of cables is.

use crate::geom::Length;
use crate::model::Section;

/// The least diameter of a circle around N equal circles, in their diameters, for
/// N = 1 to 20: the best packings known, from the table 'Circle packing in a circle'
/// (encyclopedia, several mirrors; three decimals). Proved for N up to 14 and for 19.
const PACKED: [f64; 20] = [
    1.0, 2.0, 2.154701, 2.414214, 2.701302, 3.0, 3.0, 3.304765, 3.613126, 3.813, 3.923804, 4.029,
    4.236068, 4.328, 4.521357, 4.615, 4.792, 4.863703, 4.863703, 5.122,
];

/// The diameter of a round bundle.
///
/// 1.2 times the root of the sum of the squared diameters, the harness maker's rule
/// (two calculator sites); never less than the best packing of the largest so many,
/// where the rule is too small (2 to 6, 9 and 10 of a kind). A flat cable counts as
/// so many round ones of its thickness as lie side by side in it. Zero for none.
pub fn diameter(sections: impl IntoIterator<Item = Section>) -> Length {
    let mut all: Vec<f64> = Vec::new();
    let mut squares = 0.0;
    for section in sections {
        let (width, thickness) = (section.width().as_mm(), section.thickness().as_mm());
        squares += width * thickness;
        let beside = ((width / thickness).round() as usize).clamp(1, PACKED.len());
        all.extend(std::iter::repeat_n(thickness, beside));
    }
    all.sort_by(|a, b| b.total_cmp(a));
    let rule = match all.len() {
        0 | 1 => all.first().copied().unwrap_or(0.0),
        _ => 1.2 * f64::sqrt(squares),
    };
    // So many circles of at least this size do not fit into less.
    let packed = all.iter().zip(PACKED).map(|(d, ratio)| d * ratio);
    let most = packed.fold(rule, f64::max);
    Length::from_mm(most).unwrap_or(Length::mm(100_000))
}

/// The cross-sections together, in square millimetres.
pub fn area(sections: impl IntoIterator<Item = Section>) -> f64 {
    let of = |s: Section| match s {
        Section::Round(d) => std::f64::consts::PI * d.as_mm().powi(2) / 4.0,
        Section::Flat(w, t) => w.as_mm() * t.as_mm(),
    };
    sections.into_iter().map(of).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn round(mm: f64) -> Section {
        Section::Round(Length::from_mm(mm).expect("sound"))
    }

    fn of(list: &[(usize, f64)]) -> f64 {
        let each = |(n, d): &(usize, f64)| std::iter::repeat_n(round(*d), *n);
        diameter(list.iter().flat_map(each)).as_mm()
    }

    /// Worked examples of the calculator sites: 24 wires of 2 mm, and 6 of 2.1 with
    /// 2 of 1.4.
    #[test]
    fn the_rule_gives_its_published_examples() {
        assert!((of(&[(24, 2.0)]) - 11.75755).abs() < 1e-3);
        assert!((of(&[(6, 2.1), (2, 1.4)]) - 6.614167).abs() < 1e-3);
    }

    /// Closed forms: two side by side, three in a triangle 1 + 2/sqrt 3, four in a
    /// square 1 + sqrt 2, seven in a hexagon 3.
    #[test]
    fn never_thinner_than_geometry_allows() {
        let closed = [
            (1, 1.0),
            (2, 2.0),
            (3, 1.0 + 2.0 / f64::sqrt(3.0)),
            (4, 1.0 + f64::sqrt(2.0)),
            (7, 3.0),
        ];
        for (n, least) in closed {
            assert!(of(&[(n, 10.0)]) >= 10.0 * least - 1e-3, "{n}");
        }
        assert_eq!(of(&[(2, 10.0)]), 20.0);
        assert_eq!(of(&[(1, 10.0)]), 10.0);
        // A thin one beside two thick ones does not make the bundle thinner.
        assert!(of(&[(2, 10.0), (1, 0.1)]) >= 20.0);
        for n in 1..40 {
            assert!(of(&[(n + 1, 3.0)]) >= of(&[(n, 3.0)]) - 1e-3, "{n}");
        }
    }

    #[test]
    fn a_flat_cable_counts_by_what_lies_side_by_side() {
        let flat = Section::Flat(Length::mm(8), Length::mm(2));
        assert!(diameter([flat]) >= Length::mm(4));
        assert_eq!(area([flat]), 16.0);
        assert_eq!(diameter([]), Length::ZERO);
    }
}
