//! The JSON Schema of catalogue files, made from the same lists of fields that the reader is made from.

use alloc::string::String;

use crate::articles::Articles;
use crate::entry::Entry;
use crate::json::Json;
use crate::read::HeadingEntry;

/// The JSON Schema (draft 2020-12) of a catalogue file, for editors that check TOML while it is written.
///
/// ```
/// assert!(catalogue::catalogue_schema().contains("conductivity-w-per-mk"));
/// ```
pub fn catalogue_schema() -> String {
    let format = Json::object([
        ("const", Json::Number(1.0)),
        (
            "description",
            Json::text("The format of this file, read before anything else."),
        ),
    ]);
    let mut members = alloc::vec![
        (String::from("format"), format),
        (String::from("catalogue"), HeadingEntry::object_schema()),
    ];
    members.extend(Articles::schemas());
    file_schema(
        "A catalogue of materials for external thermal insulation composite systems",
        members,
    )
}

fn file_schema(title: &str, members: alloc::vec::Vec<(String, Json)>) -> String {
    draft(Json::object([
        ("type", Json::text("object")),
        ("description", Json::text(title)),
        ("properties", Json::Object(members)),
        ("required", Json::List(alloc::vec![Json::text("format")])),
        ("additionalProperties", Json::Flag(false)),
    ]))
}

/// A schema as a document of its own.
pub(crate) fn draft(schema: Json) -> String {
    let Json::Object(members) = schema else {
        return schema.pretty();
    };
    let dialect = Json::text("https://json-schema.org/draft/2020-12/schema");
    let mut all = alloc::vec![(String::from("$schema"), dialect)];
    all.extend(members);
    Json::Object(all).pretty()
}
