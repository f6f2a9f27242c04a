//! Fields that name something elsewhere: an enclosure, a place on a cable's way, a
//! port. Each has a form of its own in the file and says what forms there are.

use super::{Enclosure, Id, Mm, Point};
use crate::model::id::MAX_ID;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer, StrDeserializer};
use serde::de::{Error, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::Cow;
use std::fmt;

/// The enclosure's id, or the enclosure itself.
#[derive(Debug)]
pub enum EnclosureOrId {
    /// One of the catalogue.
    Known(Id),
    /// One that the scene carries.
    Own(Box<Enclosure>),
}

impl Serialize for EnclosureOrId {
    fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        match self {
            EnclosureOrId::Known(id) => id.serialize(out),
            EnclosureOrId::Own(enclosure) => enclosure.serialize(out),
        }
    }
}

impl<'de> Deserialize<'de> for EnclosureOrId {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<EnclosureOrId, D::Error> {
        struct Either;
        impl<'de> Visitor<'de> for Either {
            type Value = EnclosureOrId;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("the id of an enclosure or an enclosure")
            }

            fn visit_str<E: Error>(self, text: &str) -> Result<EnclosureOrId, E> {
                Id::deserialize(StrDeserializer::new(text)).map(EnclosureOrId::Known)
            }

            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<EnclosureOrId, A::Error> {
                let own = Enclosure::deserialize(MapAccessDeserializer::new(map))?;
                Ok(EnclosureOrId::Own(Box::new(own)))
            }
        }
        d.deserialize_any(Either)
    }
}

impl JsonSchema for EnclosureOrId {
    fn schema_name() -> Cow<'static, str> {
        "EnclosureOrId".into()
    }

    fn json_schema(gen_: &mut SchemaGenerator) -> Schema {
        let (id, own) = (
            gen_.subschema_for::<Id>(),
            gen_.subschema_for::<Enclosure>(),
        );
        json_schema!({ "anyOf": [id, own] })
    }
}

/// A place that a cable's way has to visit.
#[derive(Debug)]
pub enum Via {
    /// `passage:ID`
    Passage(Id),
    /// `tie:ID`
    Tie(Id),
    /// `{"chosen": ID}`: a tie point that the program chose.
    Chosen(Id),
    /// `[x, y, z]`
    Point(Point),
    /// `{"corner": [x, y, z]}`
    Corner(Point),
}

/// How a corner is written, and a tie point that the program chose.
#[derive(Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
enum Laid {
    Corner(Point),
    Chosen(Id),
}

impl Serialize for Via {
    fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        match self {
            Via::Passage(id) => out.collect_str(&format_args!("passage:{}", id.0)),
            Via::Tie(id) => out.collect_str(&format_args!("tie:{}", id.0)),
            Via::Point(point) => point.serialize(out),
            Via::Chosen(id) => Laid::Chosen(id.clone()).serialize(out),
            Via::Corner(corner) => Laid::Corner(*corner).serialize(out),
        }
    }
}

impl<'de> Deserialize<'de> for Via {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Via, D::Error> {
        struct Either;
        impl<'de> Visitor<'de> for Either {
            type Value = Via;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("'passage:ID', 'tie:ID', a point [x, y, z], a corner or a chosen tie")
            }

            fn visit_str<E: Error>(self, text: &str) -> Result<Via, E> {
                let id = |id: &str| Id::deserialize(StrDeserializer::new(id));
                match text.split_once(':') {
                    Some(("passage", rest)) => id(rest).map(Via::Passage),
                    Some(("tie", rest)) => id(rest).map(Via::Tie),
                    _ => Err(E::custom(
                        "a way leads by a passage, a tie point or a point; write 'passage:ID', 'tie:ID' or [x, y, z]",
                    )),
                }
            }

            fn visit_seq<A: SeqAccess<'de>>(self, list: A) -> Result<Via, A::Error> {
                Point::deserialize(SeqAccessDeserializer::new(list)).map(Via::Point)
            }

            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Via, A::Error> {
                Ok(match Laid::deserialize(MapAccessDeserializer::new(map))? {
                    Laid::Corner(at) => Via::Corner(at),
                    Laid::Chosen(id) => Via::Chosen(id),
                })
            }
        }
        d.deserialize_any(Either)
    }
}

impl JsonSchema for Via {
    fn schema_name() -> Cow<'static, str> {
        "Via".into()
    }

    fn json_schema(gen_: &mut SchemaGenerator) -> Schema {
        let point = gen_.subschema_for::<[Mm; 3]>();
        json_schema!({ "anyOf": [
            {
                "type": "string", "pattern": "^(passage|tie):[a-z0-9_.-]+$",
                "maxLength": "passage:".len() + MAX_ID
            },
            point,
            {
                "type": "object", "properties": { "corner": point },
                "required": ["corner"], "additionalProperties": false
            },
            {
                "type": "object", "properties": { "chosen": gen_.subschema_for::<Id>() },
                "required": ["chosen"], "additionalProperties": false
            }
        ] })
    }
}

/// A port of a part: `PART:PORT`.
#[derive(Debug)]
pub struct PortName {
    /// The part's id.
    pub part: Id,
    /// The port's id in the part's kind.
    pub port: Id,
}

impl Serialize for PortName {
    fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        out.collect_str(&format_args!("{}:{}", self.part.0, self.port.0))
    }
}

impl<'de> Deserialize<'de> for PortName {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<PortName, D::Error> {
        let text = String::deserialize(d)?;
        let Some((part, port)) = text.split_once(':') else {
            return Err(D::Error::custom(
                "a port is named by its part and its own id; write 'PART:PORT'",
            ));
        };
        let id = |id: &str| Id::deserialize(StrDeserializer::new(id));
        Ok(PortName {
            part: id(part)?,
            port: id(port)?,
        })
    }
}

impl JsonSchema for PortName {
    fn schema_name() -> Cow<'static, str> {
        "PortName".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A port of a part: PART:PORT.",
            "type": "string", "pattern": "^[a-z0-9_.-]+:[a-z0-9_.-]+$",
            "maxLength": 2 * MAX_ID + 1
        })
    }
}
