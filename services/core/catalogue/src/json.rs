//! Just enough JSON to write a schema.

use alloc::string::String;
use alloc::vec::Vec;
use core::fmt::Write as _;

/// A JSON value that is only ever written.
#[derive(Clone, Debug)]
pub(crate) enum Json {
    Text(String),
    Number(f64),
    Flag(bool),
    List(Vec<Json>),
    /// In the order given, which is the order of the fields in the source.
    Object(Vec<(String, Json)>),
}

impl Json {
    pub fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }
    pub fn object<const N: usize>(members: [(&str, Json); N]) -> Self {
        Self::Object(members.into_iter().map(|(k, v)| (k.into(), v)).collect())
    }
    /// The same object with one more member; anything else is returned as it is.
    pub fn with(mut self, key: &str, value: Json) -> Self {
        if let Self::Object(members) = &mut self {
            members.push((key.into(), value));
        }
        self
    }

    /// Indented by two spaces, with a line feed at the end.
    pub fn pretty(&self) -> String {
        let mut out = String::new();
        self.write(&mut out, 0);
        out.push('\n');
        out
    }

    fn write(&self, out: &mut String, depth: usize) {
        match self {
            Self::Text(text) => write_text(out, text),
            Self::Number(number) => {
                let _ = write!(out, "{number}");
            }
            Self::Flag(flag) => out.push_str(if *flag { "true" } else { "false" }),
            Self::List(items) if items.is_empty() => out.push_str("[]"),
            Self::List(items) => {
                out.push('[');
                for (n, item) in items.iter().enumerate() {
                    out.push_str(if n == 0 { "" } else { "," });
                    indent(out, depth + 1);
                    item.write(out, depth + 1);
                }
                indent(out, depth);
                out.push(']');
            }
            Self::Object(members) if members.is_empty() => out.push_str("{}"),
            Self::Object(members) => {
                out.push('{');
                for (n, (key, value)) in members.iter().enumerate() {
                    out.push_str(if n == 0 { "" } else { "," });
                    indent(out, depth + 1);
                    write_text(out, key);
                    out.push_str(": ");
                    value.write(out, depth + 1);
                }
                indent(out, depth);
                out.push('}');
            }
        }
    }
}

fn indent(out: &mut String, depth: usize) {
    out.push('\n');
    for _ in 0..depth {
        out.push_str("  ");
    }
}

fn write_text(out: &mut String, text: &str) {
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            c if c < ' ' => {
                let _ = write!(out, "\\u{:04x}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
}
