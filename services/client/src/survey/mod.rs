//! Survey files: a request of the wire as TOML or JSON, with the field names of `proto/etics/v1` and words for enums.

mod message;
mod place;
mod tree;

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use api::v1;
use prost::Message;
use prost_reflect::DescriptorPool;
use working::Fault;

use message::{Filling, Places};
use tree::Syntax;

pub(crate) use place::Excerpt;

/// The largest survey file that is read.
const MOST_BYTES: u64 = 16 << 20;

/// A survey file that was read.
pub struct Survey {
    /// What it asks for.
    pub request: v1::EstimateRequest,
    /// The file, to show places of faults that are found later.
    pub source: Source,
}

/// The text of a survey file and where its fields stand in it.
pub struct Source {
    name: String,
    text: String,
    places: Places,
}

/// Why a survey file is no request.
pub enum NoSurvey {
    /// The file cannot be read; a text for people.
    Unreadable(String),
    /// The file breaks the grammar of its format; each fault printed with its line.
    Syntax(Vec<String>),
    /// Keys or values that the request does not have.
    Faults(Vec<Fault>, Source),
}

impl Source {
    /// Whether the file tells a single value under a path.
    fn tells(&self, path: &str) -> bool {
        let within = |other: &String| {
            let beyond = other.strip_prefix(path);
            beyond.is_some_and(|rest| rest.starts_with(['.', '[']))
        };
        self.places.contains_key(path) && !self.places.keys().any(within)
    }

    /// The line of a field with a caret under it: its own place, or that of the nearest field around it.
    pub(crate) fn excerpt(&self, path: &str) -> Option<Excerpt> {
        let mut path = path;
        loop {
            if let Some(span) = self.places.get(path) {
                return Some(Excerpt::of(&self.name, &self.text, span));
            }
            path = path.get(..path.rfind(['.', '['])?)?;
        }
    }
}

/// Reads a survey file: `.json` is JSON, anything else TOML.
///
/// # Errors
/// It cannot be read, or is no request; all faults at once.
pub fn read(path: &Path) -> Result<Survey, NoSurvey> {
    let (name, text) = contents(path)?;
    parse(&name, &text)
}

/// Reads a file as any message of the wire, by its name without package.
///
/// # Errors
/// It cannot be read, or is no such message; all faults at once.
pub fn read_as<M: Message + Default>(path: &Path, kind: &str) -> Result<(M, Source), NoSurvey> {
    let (name, text) = contents(path)?;
    parse_as(&name, &text, kind)
}

/// The name and the text of a file.
fn contents(path: &Path) -> Result<(String, String), NoSurvey> {
    let name = path.display().to_string();
    let unreadable = |why: String| NoSurvey::Unreadable(format!("{name}: {why}"));
    let size = fs::metadata(path)
        .map_err(|e| unreadable(e.to_string()))?
        .len();
    if size > MOST_BYTES {
        return Err(unreadable(format!(
            "{size} bytes; at most {MOST_BYTES} are read"
        )));
    }
    let bytes = fs::read(path).map_err(|e| unreadable(e.to_string()))?;
    let text = String::from_utf8(bytes)
        .map_err(|_| unreadable("the file is not UTF-8 text".to_owned()))?;
    Ok((name, text))
}

/// Reads the text of a survey file; `name` tells the format by its ending.
///
/// # Errors
/// It is no request; all faults at once.
pub fn parse(name: &str, text: &str) -> Result<Survey, NoSurvey> {
    let (request, mut faults, source) = filled(name, text, "EstimateRequest")?;
    if faults.is_empty() {
        return Ok(Survey { request, source });
    }
    // What the file got right is checked as well. Of what stands beside a faulty field only values that are told are: what is missing, or
    // holds the faulty one, may be the victim of that.
    let home = |path: &str| {
        path.rfind('.').map_or(String::new(), |dot| {
            path.get(..dot).unwrap_or_default().to_owned()
        })
    };
    let homes: Vec<String> = faults.iter().map(|f| home(&f.path)).collect();
    let victim = |path: &str, h: &String| {
        if h.is_empty() {
            home(path).is_empty()
        } else {
            path.starts_with(h.as_str())
        }
    };
    let own: BTreeSet<String> = faults.iter().map(|f| f.path.clone()).collect();
    let told = |path: &str| source.tells(path) && !own.contains(path);
    let also = server::faults_of(&request).into_iter();
    faults.extend(also.filter(|f| told(&f.path) || !homes.iter().any(|h| victim(&f.path, h))));
    Err(NoSurvey::Faults(faults, source))
}

/// Reads a text as any message of the wire, by its name without package.
///
/// # Errors
/// It is no such message; all faults at once.
pub fn parse_as<M: Message + Default>(
    name: &str,
    text: &str,
    kind: &str,
) -> Result<(M, Source), NoSurvey> {
    let (message, faults, source) = filled(name, text, kind)?;
    if faults.is_empty() {
        Ok((message, source))
    } else {
        Err(NoSurvey::Faults(faults, source))
    }
}

/// What a text fills of a message, the faults beside it, and the places of its fields.
fn filled<M: Message + Default>(
    name: &str,
    text: &str,
    kind: &str,
) -> Result<(M, Vec<Fault>, Source), NoSurvey> {
    let is_json = Path::new(name)
        .extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("json"));
    let tree = if is_json {
        tree::from_json(text)
    } else {
        tree::from_toml(text)
    };
    let tree = tree.map_err(|found| {
        let told = |s: &Syntax| {
            let place = s
                .span
                .as_ref()
                .map(|span| Excerpt::of(name, text, span).to_string());
            format!("{}\n{}", s.message, place.unwrap_or_default())
        };
        NoSurvey::Syntax(found.iter().map(told).collect())
    })?;
    let pool = DescriptorPool::decode(api::DESCRIPTORS);
    let broken = |why: String| NoSurvey::Unreadable(format!("{name}: {why}"));
    let pool = pool.map_err(|e| broken(e.to_string()))?;
    let kind = pool.get_message_by_name(&format!("etics.v1.{kind}"));
    let kind = kind.ok_or_else(|| broken("the message is not described".to_owned()))?;
    let mut filling = Filling::default();
    let message = filling.whole(&kind, &tree);
    let request: M = message.transcode_to().map_err(|e| broken(e.to_string()))?;
    let (faults, places) = filling.faults();
    let source = Source {
        name: name.to_owned(),
        text: text.to_owned(),
        places,
    };
    Ok((request, faults, source))
}
