//! The comparison of arrangements as CSV, by the rules of [`super::lists`].

use super::lists::{guarded, records};
use crate::compare::{COLUMNS, Table, Value, number};

/// A heading row, then a row for each arrangement. A value that is not known in full
/// stands in its field, and what is missing in the column `missing`; a field without a value
/// is empty.
pub fn csv(table: &Table) -> Vec<u8> {
    let rows = table.rows.iter().enumerate().map(|(i, row)| {
        let base = if table.base == Some(i) { "yes" } else { "" };
        let mut fields = vec![guarded(&row.name), base.to_owned()];
        let mut missing = Vec::new();
        for (column, figure) in COLUMNS.iter().zip(&row.figures) {
            match (column.id(), &figure.value) {
                ("mass_centre", Some(Value::Point(p))) => {
                    fields.extend(p.map(|v| number(v).to_string()));
                }
                ("mass_centre", _) => fields.extend([const { String::new() }; 3]),
                (_, Some(value)) => fields.push(number(value.key()).to_string()),
                (_, None) => fields.push(String::new()),
            }
            missing.extend(figure.missing.clone());
        }
        fields.push(guarded(&missing.join("; ")));
        fields
    });
    records(std::iter::once(heads()).chain(rows))
}

fn heads() -> Vec<String> {
    let mut heads = vec!["arrangement".to_owned(), "base".to_owned()];
    for column in COLUMNS {
        let name = match column.unit() {
            "" => column.id().to_owned(),
            unit => format!("{}_{unit}", column.id()),
        };
        match column.id() {
            "mass_centre" => heads.extend(["x", "y", "z"].map(|a| format!("{name}_{a}"))),
            _ => heads.push(name),
        }
    }
    heads.push("missing".to_owned());
    heads
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compare::{Figure, Row};
    use crate::geom::Length;

    fn table(names: [&str; 2]) -> Table {
        let row = |name: &str, mass: Option<f64>| {
            let figures = COLUMNS.iter().map(|column| match column.id() {
                "mass" => Figure {
                    value: mass.map(Value::Grams),
                    ..Figure::default()
                }
                .missing(Some("mass of 3 parts not known".into())),
                "mass_centre" => Figure::of(Value::Point([1.0, 2.5, -3.0])),
                "smallest_gap" => Figure::of(Value::Length(Length::um(1500))),
                _ => Figure::of(Value::Count(2)),
            });
            Row {
                name: name.into(),
                figures: figures.collect(),
            }
        };
        Table {
            title: "test".into(),
            rows: vec![row(names[0], Some(120.0)), row(names[1], None)],
            base: Some(0),
        }
    }

    fn read(table: &Table) -> Vec<Vec<String>> {
        // Read back by the csv crate, which knows RFC 4180; it refuses rows of unlike length.
        let bytes = csv(table);
        let mut reader = ::csv::ReaderBuilder::new()
            .has_headers(false)
            .from_reader(bytes.as_slice());
        let rows = reader.records().map(|r| r.expect("rows of one length"));
        rows.map(|r| r.iter().map(str::to_owned).collect())
            .collect()
    }

    #[test]
    fn every_row_has_a_field_for_each_heading() {
        let rows = read(&table(["first", "a \"tight\", low one"]));
        assert_eq!(rows.len(), 3);
        assert_eq!(rows[2][0], "a \"tight\", low one");
        let at = |row: usize, name: &str| {
            let i = rows[0].iter().position(|h| *h == name).expect(name);
            rows[row][i].clone()
        };
        assert_eq!(at(1, "base"), "yes");
        assert_eq!(at(1, "mass_g"), "120");
        assert_eq!(at(1, "smallest_gap_mm"), "1.5");
        // A figure below nothing is a figure, not a formula.
        assert_eq!(at(1, "mass_centre_mm_z"), "-3");
        // Not known is an empty field, never a nought.
        assert_eq!(at(2, "mass_g"), "");
        assert!(at(2, "missing").contains("mass of 3 parts not known"));
    }

    #[test]
    fn no_name_of_an_arrangement_becomes_a_formula() {
        for name in ["=1+1", "+1", "-1", "@a", "\t=1"] {
            let rows = read(&table([name, "b"]));
            assert_eq!(rows[1][0], format!("'{name}"));
        }
    }
}
