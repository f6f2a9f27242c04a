//! Single dimensions with a figure of their own.

use crate::file::error::{Check, Place as _, each, fault};
use crate::file::v1;
use crate::model::{Dimensions, Measured, PartId, Span, kind::Deviation};
use std::collections::BTreeMap;

fn one(d: &v1::Dimension) -> Check<(Span, Measured)> {
    let Some(span) = Span::new(d.axis.0, d.from.0, d.to.0).filter(|s| s.low == d.from.0) else {
        return fault(
            format!("a dimension does not go from {} to {}", d.from.0, d.to.0),
            "give the lower coordinate first",
        )
        .at("to");
    };
    let is = Measured {
        is: d.is.map_or_else(|| span.nominal(), |is| is.0),
        deviation: Deviation {
            plus: d.plus.0,
            minus: d.minus.0,
        },
    };
    Ok((span, is))
}

fn known(field: &'static str, list: Vec<(Span, Measured)>) -> Check<Dimensions> {
    let mut known = Dimensions::new();
    for (i, (span, is)) in list.into_iter().enumerate() {
        if known.insert(span, is).is_some() {
            let what = "the same dimension is given twice".to_owned();
            return fault(what, "keep one of them").item(i).at(field);
        }
    }
    Ok(known)
}

/// Of a kind or an enclosure.
pub(super) fn read(list: Vec<v1::Dimension>) -> Check<Dimensions> {
    known("dimensions", each("dimensions", list, |d| one(&d))?)
}

/// Measured in a scene.
pub(super) fn read_measured(
    list: Vec<v1::Measured>,
    is_part: impl Fn(&str) -> Option<PartId>,
) -> Check<BTreeMap<Option<PartId>, Dimensions>> {
    let all = each("measured", list, |m| {
        let of = match &m.part {
            None => None,
            Some(id) => match is_part(&id.0) {
                Some(part) => Some(part),
                None => {
                    let what = format!("no part of the scene is called '{}'", id.0);
                    return fault(what, "name one of \"parts\"").at("part");
                }
            },
        };
        Ok((of, one(&m.dimension())?))
    })?;
    let mut by_owner: BTreeMap<Option<PartId>, Vec<(Span, Measured)>> = BTreeMap::new();
    for (of, dimension) in all {
        by_owner.entry(of).or_default().push(dimension);
    }
    let one = |(of, list)| Ok((of, known("measured", list)?));
    by_owner.into_iter().map(one).collect()
}

fn to_one(span: &Span, is: &Measured) -> v1::Dimension {
    v1::Dimension {
        axis: v1::Word(span.axis),
        from: v1::Mm(span.low),
        to: v1::Mm(span.high),
        is: (is.is != span.nominal()).then_some(v1::Positive(is.is)),
        plus: v1::NotNegative(is.deviation.plus),
        minus: v1::NotNegative(is.deviation.minus),
    }
}

pub(super) fn write(known: &Dimensions) -> Vec<v1::Dimension> {
    known.iter().map(|(span, is)| to_one(span, is)).collect()
}

pub(super) fn write_measured(measured: &BTreeMap<Option<PartId>, Dimensions>) -> Vec<v1::Measured> {
    let of = |(of, known): (&Option<PartId>, &Dimensions)| {
        let part = of.as_ref().map(v1::Id::of);
        let one = write(known).into_iter();
        one.map(move |d| v1::Measured::new(part.clone(), d))
            .collect::<Vec<_>>()
    };
    measured.iter().flat_map(of).collect()
}
