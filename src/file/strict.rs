//! A JSON reader that takes an object for an object only.
//!
//! Types with derived `Deserialize` also read their fields from a plain list and
//! take `null` for an absent field. Both would let files in that the schema
//! refuses and that no later version could read. This layer passes everything on,
//! but asks for a map where a struct is read, hands `null` to the field's own
//! type, and stops lists that are longer than [`MAX_LIST`].

use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, Error, MapAccess, SeqAccess, VariantAccess, Visitor,
};
use serde::forward_to_deserialize_any;
use std::fmt;

/// Most items in any one list of a file.
pub const MAX_LIST: usize = 20_000;

/// The layer around a deserializer, visitor, seed or access.
pub(super) struct Strict<T>(pub T);

impl<'de, D: Deserializer<'de>> Deserializer<'de> for Strict<D> {
    type Error = D::Error;

    fn deserialize_any<V: Visitor<'de>>(self, v: V) -> Result<V::Value, D::Error> {
        self.0.deserialize_any(Strict(v))
    }

    fn deserialize_option<V: Visitor<'de>>(self, v: V) -> Result<V::Value, D::Error> {
        v.visit_some(self)
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        v: V,
    ) -> Result<V::Value, D::Error> {
        v.visit_newtype_struct(self)
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        v: V,
    ) -> Result<V::Value, D::Error> {
        self.0.deserialize_map(Strict(v))
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        name: &'static str,
        variants: &'static [&'static str],
        v: V,
    ) -> Result<V::Value, D::Error> {
        self.0.deserialize_enum(name, variants, Strict(v))
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, v: V) -> Result<V::Value, D::Error> {
        self.0.deserialize_ignored_any(v)
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes
        byte_buf unit unit_struct seq tuple tuple_struct map identifier
    }
}

macro_rules! pass {
    ($($method:ident: $kind:ty),+) => {
        $(fn $method<E: Error>(self, v: $kind) -> Result<V::Value, E> {
            self.0.$method(v)
        })+
    };
}

impl<'de, V: Visitor<'de>> Visitor<'de> for Strict<V> {
    type Value = V::Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.expecting(f)
    }

    pass!(visit_bool: bool, visit_i64: i64, visit_u64: u64, visit_f64: f64, visit_str: &str);

    fn visit_unit<E: Error>(self) -> Result<V::Value, E> {
        self.0.visit_unit()
    }

    fn visit_seq<A: SeqAccess<'de>>(self, list: A) -> Result<V::Value, A::Error> {
        self.0.visit_seq(Items { list, count: 0 })
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<V::Value, A::Error> {
        self.0.visit_map(Strict(map))
    }

    fn visit_enum<A: EnumAccess<'de>>(self, data: A) -> Result<V::Value, A::Error> {
        self.0.visit_enum(Strict(data))
    }
}

impl<'de, S: DeserializeSeed<'de>> DeserializeSeed<'de> for Strict<S> {
    type Value = S::Value;

    fn deserialize<D: Deserializer<'de>>(self, d: D) -> Result<S::Value, D::Error> {
        self.0.deserialize(Strict(d))
    }
}

struct Items<A> {
    list: A,
    count: usize,
}

impl<'de, A: SeqAccess<'de>> SeqAccess<'de> for Items<A> {
    type Error = A::Error;

    fn next_element_seed<T: DeserializeSeed<'de>>(
        &mut self,
        seed: T,
    ) -> Result<Option<T::Value>, A::Error> {
        let next = self.list.next_element_seed(Strict(seed))?;
        self.count += 1;
        if next.is_some() && self.count > MAX_LIST {
            return Err(A::Error::custom(format!(
                "the list has more than {MAX_LIST} items; shorten it"
            )));
        }
        Ok(next)
    }
}

impl<'de, A: MapAccess<'de>> MapAccess<'de> for Strict<A> {
    type Error = A::Error;

    fn next_key_seed<K: DeserializeSeed<'de>>(
        &mut self,
        seed: K,
    ) -> Result<Option<K::Value>, A::Error> {
        self.0.next_key_seed(seed)
    }

    fn next_value_seed<T: DeserializeSeed<'de>>(&mut self, seed: T) -> Result<T::Value, A::Error> {
        self.0.next_value_seed(Strict(seed))
    }
}

impl<'de, A: EnumAccess<'de>> EnumAccess<'de> for Strict<A> {
    type Error = A::Error;
    type Variant = Strict<A::Variant>;

    fn variant_seed<T: DeserializeSeed<'de>>(
        self,
        seed: T,
    ) -> Result<(T::Value, Self::Variant), A::Error> {
        let (value, variant) = self.0.variant_seed(seed)?;
        Ok((value, Strict(variant)))
    }
}

impl<'de, A: VariantAccess<'de>> VariantAccess<'de> for Strict<A> {
    type Error = A::Error;

    fn unit_variant(self) -> Result<(), A::Error> {
        self.0.unit_variant()
    }

    fn newtype_variant_seed<T: DeserializeSeed<'de>>(self, seed: T) -> Result<T::Value, A::Error> {
        self.0.newtype_variant_seed(Strict(seed))
    }

    fn tuple_variant<V: Visitor<'de>>(self, len: usize, v: V) -> Result<V::Value, A::Error> {
        self.0.tuple_variant(len, Strict(v))
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        fields: &'static [&'static str],
        v: V,
    ) -> Result<V::Value, A::Error> {
        self.0.struct_variant(fields, Strict(v))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Deserialize;

    #[derive(Deserialize, Debug, PartialEq)]
    struct Pair {
        a: u32,
        b: Option<u32>,
    }

    fn read(text: &str) -> Result<Vec<Pair>, serde_json::Error> {
        Vec::deserialize(Strict(&mut serde_json::Deserializer::from_str(text)))
    }

    #[test]
    fn objects_are_read_and_lists_or_null_in_their_place_are_not() {
        assert_eq!(read(r#"[{"a":1}]"#).unwrap(), [Pair { a: 1, b: None }]);
        assert_eq!(read(r#"[{"a":1,"b":2}]"#).unwrap()[0].b, Some(2));
        assert!(read("[[1,2]]").is_err());
        assert!(read(r#"[{"a":1,"b":null}]"#).is_err());
    }

    #[test]
    fn the_longest_list_is_read_and_one_item_more_is_not() {
        let list = |n: usize| format!("[{}]", vec![r#"{"a":1}"#; n].join(","));
        assert_eq!(read(&list(MAX_LIST)).unwrap().len(), MAX_LIST);
        let err = read(&list(MAX_LIST + 1)).unwrap_err();
        assert!(err.to_string().contains("more than 20000"), "{err}");
    }
}
