//! Answers for machines: the messages of the wire as JSON, with their field names, defaults written out.

use prost::Message;
use prost_reflect::{DescriptorPool, DynamicMessage, SerializeOptions};
use serde_json::json;

use crate::refusal::Refusal;

/// A message of the wire as JSON text.
///
/// # Errors
/// The message is not described; never for those of this program.
pub(crate) fn message<M: Message>(name: &str, message: &M) -> Result<String, String> {
    let pool = DescriptorPool::decode(api::DESCRIPTORS).map_err(|e| e.to_string())?;
    let kind = pool.get_message_by_name(&format!("etics.v1.{name}"));
    let kind = kind.ok_or_else(|| format!("{name} is not described"))?;
    let dynamic =
        DynamicMessage::decode(kind, &*message.encode_to_vec()).map_err(|e| e.to_string())?;
    let options = SerializeOptions::new()
        .use_proto_field_name(true)
        .skip_default_fields(false)
        .stringify_64_bit_integers(false);
    let mut text = Vec::new();
    let mut serializer = serde_json::Serializer::pretty(&mut text);
    dynamic
        .serialize_with_options(&mut serializer, &options)
        .map_err(|e| e.to_string())?;
    String::from_utf8(text).map_err(|e| e.to_string())
}

/// A refusal as JSON text.
pub(crate) fn refusal(refusal: &Refusal) -> String {
    let faults = refusal.faults.iter();
    let faults: Vec<_> = faults
        .map(|f| json!({ "path": f.path, "reason": f.reason, "text": f.text }))
        .collect();
    let whole = json!({ "refused": { "reason": refusal.reason, "summary": refusal.summary, "faults": faults } });
    format!("{whole:#}")
}
