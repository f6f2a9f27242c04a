//! The JSON Schema of the scene file, from the types that read it.

use super::{layout, v1};
use schemars::generate::SchemaSettings;

/// The JSON Schema (draft 2020-12) of the scene file, laid out like all files.
///
/// It says what one value alone can say. References, ids that must differ and the
/// shape of outlines are beyond it; [`read_scene`](super::read_scene) checks those.
pub fn schema() -> String {
    let generator = SchemaSettings::draft2020_12().into_generator();
    let mut schema = generator.into_root_schema_for::<v1::Scene>().to_value();
    forbid_null(&mut schema);
    // Which order serde_json keeps depends on features of other packages.
    schema.sort_all_objects();
    layout::json(&schema)
}

/// Optional fields are left out, never null.
fn forbid_null(value: &mut serde_json::Value) {
    use serde_json::Value;
    match value {
        Value::Array(items) => items.iter_mut().for_each(forbid_null),
        Value::Object(fields) => {
            fields.values_mut().for_each(forbid_null);
            let is_null = |v: &Value| v == "null" || v.get("type").is_some_and(|t| t == "null");
            for key in ["type", "anyOf"] {
                let Some(Value::Array(forms)) = fields.get_mut(key) else {
                    continue;
                };
                forms.retain(|f| !is_null(f));
                if let [only] = forms.as_mut_slice() {
                    let only = only.take();
                    fields.remove(key);
                    match (key, only) {
                        ("anyOf", Value::Object(form)) => fields.extend(form),
                        (_, form) => {
                            fields.insert(key.to_owned(), form);
                        }
                    }
                }
            }
        }
        _ => {}
    }
}
