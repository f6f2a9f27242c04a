//! Lists as CSV (RFC 4180) and JSON.
//!
//! CSV: a heading row with the columns' names, fields quoted where they need it,
//! lines ended by CR LF, UTF-8. Lengths are millimetres. What does not apply or is not
//! known is an empty field. A spreadsheet takes a text that starts with `=`, `+`, `-`
//! or `@` (or a tab or a line break) for a formula; such a text gets an apostrophe in
//! front, which spreadsheets read as 'this is text'. JSON carries it as it is.

use crate::geom::Length;
use crate::paper::{Cell, Table};
use serde_json::{Map, Value, json};

/// A list as CSV.
pub fn csv(table: &Table) -> Vec<u8> {
    let heads = table.columns.iter().map(|c| c.key.to_owned()).collect();
    let rows = table.rows.iter().map(|row| row.iter().map(field).collect());
    records(std::iter::once(heads).chain(rows))
}

/// Rows of one length as CSV; texts are guarded already.
pub fn records(rows: impl Iterator<Item = Vec<String>>) -> Vec<u8> {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    let mut done = Ok(());
    for row in rows {
        done = done.and_then(|()| writer.write_record(row));
    }
    done.expect("rows are as long as the headings, and memory takes any bytes");
    writer.into_inner().expect("memory takes any bytes")
}

fn field(cell: &Cell) -> String {
    match cell {
        Cell::Text(text) => guarded(text),
        Cell::Mm(length) => length.to_string(),
        Cell::Count(n) => n.to_string(),
        Cell::Number(v) => v.to_string(),
        Cell::Empty | Cell::Unknown => String::new(),
    }
}

/// A text that no spreadsheet runs.
pub fn guarded(text: &str) -> String {
    match text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']) {
        true => format!("'{text}"),
        false => text.to_owned(),
    }
}

/// A list as JSON. What does not apply or is not known is `null`; `unknown` names the
/// columns that apply and are not known.
pub fn json(table: &Table, scene: &str, arrangement: &str) -> String {
    let rows: Vec<Value> = table.rows.iter().map(|row| object(table, row)).collect();
    let document = json!({
        "format": "closefit-list",
        "version": 1,
        "list": table.id,
        "scene": scene,
        "arrangement": arrangement,
        "about": table.about,
        "rows": rows,
    });
    format!("{document:#}\n")
}

fn object(table: &Table, row: &[Cell]) -> Value {
    let mut fields = Map::new();
    let mut unknown = Vec::new();
    for (column, cell) in table.columns.iter().zip(row) {
        let value = match cell {
            Cell::Text(text) => json!(text),
            Cell::Mm(length) => millimetres(*length),
            Cell::Count(n) => json!(n),
            Cell::Number(v) => json!(v),
            Cell::Empty => Value::Null,
            Cell::Unknown => {
                unknown.push(json!(column.key));
                Value::Null
            }
        };
        fields.insert(column.key.to_owned(), value);
    }
    if !unknown.is_empty() {
        fields.insert("unknown".to_owned(), Value::Array(unknown));
    }
    Value::Object(fields)
}

/// Whole millimetres without a point, others with at most three decimals.
fn millimetres(length: Length) -> Value {
    let um = length.as_um();
    match um % 1000 {
        0 => json!(um / 1000),
        _ => json!(length.as_mm()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paper::Column;

    const COLUMNS: &[Column] = &[Column::new("name", "name"), Column::new("x_mm", "x")];

    fn table(name: &str, x: Cell) -> Table {
        Table {
            id: "t",
            title: "T",
            about: String::new(),
            columns: COLUMNS,
            rows: vec![vec![Cell::text(name), x]],
        }
    }

    #[test]
    fn csv_is_that_of_rfc_4180() {
        // RFC 4180, section 2: CRLF (1), quotes around commas, quotes and breaks (6),
        // a quote is doubled (7).
        let t = table("fan, \"120\"\nthick", Cell::Mm(Length::um(12_500)));
        assert_eq!(
            String::from_utf8(csv(&t)).unwrap(),
            "name,x_mm\r\n\"fan, \"\"120\"\"\nthick\",12.5\r\n"
        );
    }

    #[test]
    fn no_name_becomes_a_formula() {
        for name in ["=1+1", "+1", "-1", "@a", "\t=1"] {
            let text = String::from_utf8(csv(&table(name, Cell::Empty))).unwrap();
            let row = text.lines().nth(1).unwrap();
            assert!(row.trim_start_matches('"').starts_with('\''), "{row}");
        }
        // A figure below nothing is a figure.
        let text = String::from_utf8(csv(&table("a", Cell::Mm(Length::mm(-5))))).unwrap();
        assert!(text.ends_with("a,-5\r\n"), "{text}");
    }

    #[test]
    fn what_is_not_known_is_said_in_json() {
        let text = json(&table("a", Cell::Unknown), "s", "first");
        let value: Value = serde_json::from_str(&text).unwrap();
        assert_eq!(value["rows"][0]["x_mm"], Value::Null);
        assert_eq!(value["rows"][0]["unknown"], json!(["x_mm"]));
    }
}
