//! The JSON Schemas of rule data, made from the same lists of fields as the readers.

use alloc::string::String;

use crate::entry::Entry;
use crate::rules::{
    climate, detail, fire, fixing, limit, measurement, moisture, setting_out, wind,
};
use crate::schema::draft;

/// The JSON Schema (draft 2020-12) of every kind of rule data, by the name of its kind.
pub fn rule_schemas() -> [(&'static str, String); 11] {
    [
        ("climate", draft(climate::ClimateEntry::object_schema())),
        (
            "condensate-limit",
            draft(moisture::CondensateEntry::object_schema()),
        ),
        ("detail", draft(detail::DetailEntry::object_schema())),
        (
            "factor-floor",
            draft(moisture::FactorFloorEntry::object_schema()),
        ),
        ("fire", draft(fire::FireEntry::object_schema())),
        ("fixing", draft(fixing::FixingEntry::object_schema())),
        (
            "humidity-class",
            draft(moisture::HumidityClassEntry::object_schema()),
        ),
        (
            "measurement",
            draft(measurement::MeasurementEntry::object_schema()),
        ),
        (
            "setting-out",
            draft(setting_out::SettingOutEntry::object_schema()),
        ),
        ("thermal-limit", draft(limit::LimitEntry::object_schema())),
        ("wind", draft(wind::WindEntry::object_schema())),
    ]
}
