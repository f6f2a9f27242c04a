//! The table as text and JSON; as CSV `export::compared` writes it. The same table gives
//! the same bytes.

use super::{COLUMNS, Figure, Table, Value};
use serde_json::{Map, Value as Json, json};
use std::fmt::Write;

impl Table {
    /// For people: a line for each column, the arrangements side by side, what is not
    /// known below.
    pub fn text(&self) -> String {
        let mut lines: Vec<Vec<String>> = vec![vec![String::new()]];
        for (i, row) in self.rows.iter().enumerate() {
            let mark = if self.base == Some(i) { " (base)" } else { "" };
            lines[0].push(format!("{}{mark}", row.name));
        }
        for (c, column) in COLUMNS.iter().enumerate() {
            let unit = match column.unit() {
                "" => String::new(),
                unit => format!(", {unit}"),
            };
            let mut line = vec![format!("{}{unit}", column.title())];
            for (r, row) in self.rows.iter().enumerate() {
                let delta = self.delta(r, c);
                line.push(match delta {
                    Some(d) => format!("{} ({})", row.figures[c].text(), d.text),
                    None => row.figures[c].text(),
                });
            }
            lines.push(line);
        }
        let width = |at: usize| {
            let each = lines.iter().map(|l| l[at].chars().count());
            each.max().unwrap_or(0)
        };
        let widths: Vec<usize> = (0..=self.rows.len()).map(width).collect();
        let mut text = format!("{}\n\n", self.title);
        for line in &lines {
            let mut out = String::new();
            for (i, (cell, width)) in line.iter().zip(&widths).enumerate() {
                let room = " ".repeat(width - cell.chars().count());
                match i {
                    0 => out += &format!("{cell}{room}"),
                    _ => out += &format!("   {room}{cell}"),
                }
            }
            add(&mut text, out.trim_end());
        }
        for row in &self.rows {
            let notes: Vec<String> = COLUMNS
                .iter()
                .zip(&row.figures)
                .filter_map(|(column, figure)| note(column.title(), figure))
                .collect();
            if !notes.is_empty() {
                add(&mut text, &format!("\n{}", row.name));
                notes.iter().for_each(|n| add(&mut text, &format!("  {n}")));
            }
        }
        add(
            &mut text,
            "\nplanning figures; '+?' means that more is not known",
        );
        text
    }

    /// For programs.
    pub fn json(&self) -> Json {
        let columns: Vec<Json> = COLUMNS
            .iter()
            .map(|c| json!({ "id": c.id(), "title": c.title(), "unit": c.unit(), "about": c.about() }))
            .collect();
        let rows: Vec<Json> = (0..self.rows.len()).map(|r| self.row_json(r)).collect();
        let base = self.base.and_then(|b| self.rows.get(b));
        json!({
            "title": self.title,
            "base": base.map(|b| &b.name),
            "columns": columns,
            "arrangements": rows,
        })
    }

    fn row_json(&self, r: usize) -> Json {
        let row = &self.rows[r];
        let mut figures = Map::new();
        for (c, column) in COLUMNS.iter().enumerate() {
            let figure = &row.figures[c];
            let value = match &figure.value {
                None => Json::Null,
                Some(Value::Count(n)) => json!(n),
                Some(Value::Point(p)) => json!(p.map(number)),
                Some(value) => json!(number(value.key())),
            };
            let entry = json!({
                "value": value,
                "missing": figure.missing,
                "note": figure.note,
                "difference": self.delta(r, c).map(|d| d.text),
            });
            figures.insert(column.id().to_owned(), entry);
        }
        json!({ "index": r, "name": row.name, "figures": figures })
    }
}

/// As it stands in files: rounded to the micrometre, the millilitre, the milligram, the
/// tenth of a cent.
pub fn number(v: f64) -> f64 {
    (v * 1000.0).round() / 1000.0
}

fn note(title: &str, figure: &Figure) -> Option<String> {
    let parts: Vec<&str> = [
        figure.note.as_str(),
        figure.missing.as_deref().unwrap_or(""),
    ]
    .into_iter()
    .filter(|t| !t.is_empty())
    .collect();
    (!parts.is_empty()).then(|| format!("{}: {}", title.to_lowercase(), parts.join("; ")))
}

fn add(text: &mut String, line: &str) {
    writeln!(text, "{line}").expect("a string takes any text");
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compare::Row;
    use crate::geom::Length;

    fn table() -> Table {
        let row = |name: &str, mass: Option<f64>| {
            let mut figures: Vec<Figure> = COLUMNS
                .iter()
                .map(|_| Figure::of(Value::Count(2)))
                .collect();
            for (column, figure) in COLUMNS.iter().zip(&mut figures) {
                match column.id() {
                    "mass" => {
                        *figure = Figure {
                            value: mass.map(Value::Grams),
                            missing: Some("mass of 3 parts not known".into()),
                            ..Figure::default()
                        }
                    }
                    "mass_centre" => *figure = Figure::of(Value::Point([1.0, 2.5, 3.0])),
                    "smallest_gap" => {
                        *figure =
                            Figure::of(Value::Length(Length::um(1500))).note("between a and b");
                    }
                    _ => {}
                }
            }
            Row {
                name: name.into(),
                figures,
            }
        };
        Table {
            title: "test".into(),
            rows: vec![row("first", Some(120.0)), row("a \"tight\", low one", None)],
            base: Some(0),
        }
    }

    #[test]
    fn json_and_text_say_what_is_missing() {
        let json = table().json();
        let mass = &json["arrangements"][1]["figures"]["mass"];
        assert_eq!(mass["value"], Json::Null);
        assert_eq!(mass["missing"], "mass of 3 parts not known");
        assert_eq!(json["base"], "first");
        let gap = &json["arrangements"][1]["figures"]["smallest_gap"];
        assert_eq!(
            (&gap["value"], &gap["difference"]),
            (&json!(1.5), &json!("="))
        );
        let text = table().text();
        for part in [
            "first (base)",
            "120 +?",
            "not known",
            "smallest gap: between a and b",
        ] {
            assert!(text.contains(part), "{part}\n{text}");
        }
        assert_eq!(table().text(), text);
    }
}
