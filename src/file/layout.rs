//! JSON as people like to read and compare it: two spaces of indent, an object or a
//! list of plain values on one line where it fits, one line for each item of a list
//! of objects.

use serde::Serialize;

/// Longest line that several values are gathered on, in characters.
const WIDTH: usize = 120;

/// The value as laid out JSON, with a new line at the end.
pub(super) fn json<T: Serialize>(value: &T) -> String {
    let compact =
        serde_json::to_string(value).expect("file types have text keys and write to memory");
    let mut rest = compact.as_str();
    let tree = node(&mut rest);
    let mut out = String::with_capacity(compact.len() * 3 / 2);
    tree.write(0, 0, &mut out);
    out.push('\n');
    out
}

/// A piece of compact JSON.
enum Node<'a> {
    Leaf(&'a str),
    List(Vec<Node<'a>>),
    Object(Vec<(&'a str, Node<'a>)>),
}

/// Takes one value off the front of compact JSON that serde_json has just written;
/// it is as deep as the file types and no deeper.
fn node<'a>(rest: &mut &'a str) -> Node<'a> {
    match rest.as_bytes()[0] {
        b'[' => {
            let mut items = Vec::new();
            while more(rest, ']') {
                items.push(node(rest));
            }
            Node::List(items)
        }
        b'{' => {
            let mut fields = Vec::new();
            while more(rest, '}') {
                let key = leaf(rest);
                *rest = &rest[1..];
                fields.push((key, node(rest)));
            }
            Node::Object(fields)
        }
        _ => Node::Leaf(leaf(rest)),
    }
}

/// Takes the bracket or comma; false where that was the end.
fn more(rest: &mut &str, close: char) -> bool {
    if let Some(after) = rest.strip_prefix(close) {
        *rest = after;
        return false;
    }
    *rest = &rest[1..];
    match rest.strip_prefix(close) {
        Some(after) => {
            *rest = after;
            false
        }
        None => true,
    }
}

fn leaf<'a>(rest: &mut &'a str) -> &'a str {
    let bytes = rest.as_bytes();
    let mut end = 1;
    if bytes[0] == b'"' {
        while bytes[end] != b'"' {
            end += if bytes[end] == b'\\' { 2 } else { 1 };
        }
        end += 1;
    } else {
        while end < bytes.len() && !b",]}".contains(&bytes[end]) {
            end += 1;
        }
    }
    let (leaf, after) = rest.split_at(end);
    *rest = after;
    leaf
}

impl Node<'_> {
    /// True where it may stand on one line: no list in it has objects as items, and
    /// it is not the whole file.
    fn is_plain(&self) -> bool {
        match self {
            Node::Leaf(_) => true,
            Node::List(items) => items
                .iter()
                .all(|i| !matches!(i, Node::Object(_)) && i.is_plain()),
            Node::Object(fields) => fields.iter().all(|(_, n)| n.is_plain()),
        }
    }

    /// Characters on one line; counting stops soon after `WIDTH`.
    fn width(&self) -> usize {
        fn inside(widths: impl Iterator<Item = usize>) -> usize {
            let mut total = 0;
            for width in widths {
                total += width + 2;
                if total > WIDTH {
                    break;
                }
            }
            // Two brackets, and no comma and space after the last item.
            total.max(2)
        }
        match self {
            Node::Leaf(text) => text.chars().take(WIDTH + 1).count(),
            Node::List(items) => inside(items.iter().map(Node::width)),
            Node::Object(fields) => inside(
                fields
                    .iter()
                    .map(|(k, n)| k.chars().count() + 2 + n.width()),
            ),
        }
    }

    /// Writes it; `used` characters stand before it on its line.
    fn write(&self, depth: usize, used: usize, out: &mut String) {
        if depth > 0 && self.is_plain() && used + self.width() < WIDTH {
            return self.write_line(out);
        }
        let indent = "  ".repeat(depth + 1);
        let (open, close, empty) = match self {
            Node::Leaf(text) => return out.push_str(text),
            Node::List(items) => ('[', ']', items.is_empty()),
            Node::Object(fields) => ('{', '}', fields.is_empty()),
        };
        out.push(open);
        let start = |i: usize, out: &mut String| {
            out.push_str(if i == 0 { "\n" } else { ",\n" });
            out.push_str(&indent);
        };
        match self {
            Node::Leaf(_) => {}
            Node::List(items) => {
                for (i, item) in items.iter().enumerate() {
                    start(i, out);
                    item.write(depth + 1, indent.len(), out);
                }
            }
            Node::Object(fields) => {
                for (i, (key, value)) in fields.iter().enumerate() {
                    start(i, out);
                    out.push_str(key);
                    out.push_str(": ");
                    let used = indent.len() + key.chars().count() + 2;
                    value.write(depth + 1, used, out);
                }
            }
        }
        if !empty {
            out.push('\n');
            out.push_str(&indent[2..]);
        }
        out.push(close);
    }

    fn write_line(&self, out: &mut String) {
        let comma = |i: usize, out: &mut String| {
            if i > 0 {
                out.push_str(", ");
            }
        };
        match self {
            Node::Leaf(text) => out.push_str(text),
            Node::List(items) => {
                out.push('[');
                for (i, item) in items.iter().enumerate() {
                    comma(i, out);
                    item.write_line(out);
                }
                out.push(']');
            }
            Node::Object(fields) => {
                out.push('{');
                for (i, (key, value)) in fields.iter().enumerate() {
                    comma(i, out);
                    out.push_str(key);
                    out.push_str(": ");
                    value.write_line(out);
                }
                out.push('}');
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{Value, json};

    #[test]
    fn points_and_small_objects_stand_on_one_line() {
        let value = json!({"a": [{"at": [1, 2.5, -3], "turn": ["+x", "+y"]}, {"at": []}], "b": {}});
        let expected = "{\n  \"a\": [\n    {\"at\": [1, 2.5, -3], \"turn\": [\"+x\", \"+y\"]},\n    \
                        {\"at\": []}\n  ],\n  \"b\": {}\n}\n";
        assert_eq!(super::json(&value), expected);
    }

    #[test]
    fn long_lists_are_broken_and_no_line_of_small_values_is_too_long() {
        let points: Vec<[i64; 2]> = (0..60).map(|i| [i * 1000, i]).collect();
        let value = json!({"list": [{"outline": points, "name": "x"}], "e": []});
        let text = super::json(&value);
        assert!(text.lines().all(|l| l.len() <= WIDTH));
        assert!(text.contains("\n        [1000, 1],\n"), "{text}");
    }

    #[test]
    fn any_text_comes_back_as_it_was() {
        let odd = [
            "a\"b", "back\\", "\\\"", "[1,2]", "{", "\u{1}\n", "größe", "",
        ];
        let value = json!({"k\"}": odd, "n": [1e300, -0.5, true, null], "o": {"": {"x": [[]]}}});
        let text = super::json(&value);
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), value);
    }
}
