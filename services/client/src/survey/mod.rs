//! Survey files: a request of the wire as TOML or JSON, with the field names of `proto/etics/v1` and words for enums.

mod message;
mod place;
mod tree;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use api::v1;
use prost::Message;
use prost_reflect::DescriptorPool;
use working::Fault;

use crate::refusal::{Refusal, Told};
use message::{Filled, Filling, NO_WORD};
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
    filled: Box<Filled>,
}

/// Why a survey file is no request.
pub enum NoSurvey {
    /// The file cannot be read; a text for people.
    Unreadable(String),
    /// The file breaks the grammar of its format; each fault printed with its line.
    Syntax(Vec<String>),
    /// Keys or values that the request does not have.
    Faults(Vec<Told>, Source),
}

impl Source {
    /// Whether the file tells a single value under a path.
    fn tells(&self, path: &str) -> bool {
        let within = |other: &String| {
            let beyond = other.strip_prefix(path);
            beyond.is_some_and(|rest| rest.starts_with(['.', '[']))
        };
        self.filled.told.contains(path) && !self.filled.told.iter().any(within)
    }

    /// The line of a field with a caret under it: its own place, or that of the nearest field around it.
    pub(crate) fn excerpt(&self, path: &str) -> Option<Excerpt> {
        let mut path = path;
        loop {
            if let Some(span) = self.filled.places.get(path) {
                return Some(Excerpt::of(&self.name, &self.text, span));
            }
            path = path.get(..path.rfind(['.', '['])?)?;
        }
    }
}

/// Reads a survey file: `.json` is JSON, anything else TOML. `ask` puts what could be read of a faulty one to the service, which knows
/// the names of its catalogues and rule data.
///
/// # Errors
/// It cannot be read, or is no request; all faults at once.
pub fn read(
    path: &Path,
    ask: impl FnOnce(v1::EstimateRequest) -> Option<Refusal>,
) -> Result<Survey, NoSurvey> {
    let (name, text) = contents(path)?;
    parse(&name, &text, ask)
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

/// Reads the text of a survey file; `name` tells the format by its ending, and `ask` is what [`read`] says.
///
/// # Errors
/// It is no request; all faults at once.
pub fn parse(
    name: &str,
    text: &str,
    ask: impl FnOnce(v1::EstimateRequest) -> Option<Refusal>,
) -> Result<Survey, NoSurvey> {
    let (request, source) = filled::<v1::EstimateRequest>(name, text, "EstimateRequest")?;
    if source.filled.faults.is_empty() {
        return Ok(Survey { request, source });
    }
    let values = server::faults_of(&request);
    // A request with a value that no version knows is refused whatever else it asks, and never answered.
    let unsound = v1::EstimateRequest {
        bonding_method: NO_WORD,
        ..request
    };
    let names = ask(unsound).map_or_else(Vec::new, |refusal| refusal.faults);
    let found = values.iter().map(|f| f.path.as_str());
    let found = found.chain(names.iter().map(|f| f.path.as_str()));
    let untold = found.filter(|path| !source.filled.told.contains(*path));
    let lacking: BTreeSet<&str> = untold.map(home).collect();
    let beside = Beside::new(&source, &lacking);
    let mut told = beside.own(&values);
    told.extend(
        values
            .iter()
            .filter(|f| beside.counts(&f.path))
            .map(Told::from),
    );
    let known: BTreeSet<(String, String)> = told
        .iter()
        .map(|f| (f.path.clone(), f.reason.clone()))
        .collect();
    // What is wrong with the file's own word for it is told already; any other fault there is that of the value put in above.
    let new = names.iter().filter(|f| {
        let known = known.contains(&(f.path.clone(), f.reason.clone()));
        !known && f.path != "bonding_method" && beside.counts(&f.path)
    });
    told.extend(new.cloned());
    Err(NoSurvey::Faults(told, source))
}

/// What counts of faults that are found in what a faulty file got right.
struct Beside<'a> {
    source: &'a Source,
    /// What holds values that could not be passed on.
    homes: Vec<Home<'a>>,
    /// Paths that the file's own faults speak of.
    own: BTreeSet<&'a str>,
    /// What holds values that were passed on.
    passed_on: BTreeSet<&'a str>,
}

/// What holds a value that could not be passed on.
struct Home<'a> {
    path: &'a str,
    loss: Loss<'a>,
}

/// What was lost of a table.
enum Loss<'a> {
    /// A value that stands for nothing: what is found beside it may come of that.
    Value,
    /// A key that the message does not have.
    Key {
        /// The fields that it may stand for, none of which the file tells.
        meant: Vec<&'a str>,
        /// Whether a field was found at fault that the file does not tell: a fault of the table itself may come of that.
        lacks: bool,
    },
}

impl Home<'_> {
    /// Whether a fault may come of what was lost. Of a key that the message does not have comes only what is said of the table itself and of
    /// the field that was meant: what lies in tables beside it was told, and is wrong by itself.
    fn is_to_blame_for(&self, path: &str) -> bool {
        match &self.loss {
            Loss::Key { meant, lacks } => {
                let is_meant = |field: &&str| {
                    let beyond = path.strip_prefix(*field);
                    beyond.is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
                };
                let own = self.path == path && (*lacks || !meant.is_empty());
                own || meant.iter().any(is_meant)
            }
            Loss::Value if self.path.is_empty() => home(path).is_empty(),
            Loss::Value => path.starts_with(self.path),
        }
    }
}

impl<'a> Beside<'a> {
    /// `lacking` are the tables of which a field was found at fault that the file does not tell.
    fn new(source: &'a Source, lacking: &BTreeSet<&str>) -> Self {
        let filled = &source.filled;
        // An item of a list lies where it lies, whatever word was found for its kind.
        let words = filled.faults.iter().filter(|f| f.reason == "UNKNOWN_VALUE");
        let words_of_items: BTreeSet<&str> = words
            .map(|f| f.path.as_str())
            .filter(|path| home(path).ends_with(']'))
            .collect();
        let lost = filled.faults.iter();
        let lost = lost.filter(|f| !filled.passed_on.contains(&f.path));
        let homes = lost.map(|f| {
            let is_item = filled.empty_items.contains(&f.path);
            let path = if is_item { &f.path } else { home(&f.path) };
            let loss = match filled.strays.get(&f.path) {
                Some(resembled) => {
                    let untold = resembled.iter().filter(|like| !filled.told.contains(*like));
                    Loss::Key {
                        meant: untold.map(String::as_str).collect(),
                        lacks: lacking.contains(path),
                    }
                }
                None => Loss::Value,
            };
            Home { path, loss }
        });
        Self {
            source,
            homes: homes.collect(),
            own: filled.faults.iter().map(|f| f.path.as_str()).collect(),
            passed_on: filled
                .passed_on
                .iter()
                .filter(|path| !words_of_items.contains(path.as_str()))
                .map(|path| home(path))
                .collect(),
        }
    }

    /// The file's own faults; where the checks of a field tell the range that they ask for, with that range.
    fn own(&self, values: &[Fault]) -> Vec<Told> {
        let ranges: BTreeMap<&str, &str> = values
            .iter()
            .filter(|f| f.reason == "OUT_OF_RANGE")
            .map(|f| (f.path.as_str(), f.expected.as_str()))
            .collect();
        let filled = &self.source.filled;
        let own = filled.faults.iter();
        own.map(|fault| {
            let passed_on = filled.passed_on.contains(&fault.path);
            match ranges.get(fault.path.as_str()) {
                Some(range) if passed_on && fault.reason == "OUT_OF_RANGE" => {
                    // A fraction may lie within the range and still be none of its numbers.
                    let expected = if filled.too_far_out.contains(&fault.path) {
                        (*range).to_owned()
                    } else {
                        format!("{}, {range}", fault.expected)
                    };
                    Told::from(&Fault {
                        expected,
                        ..fault.clone()
                    })
                }
                _ => Told::from(fault),
            }
        })
        .collect()
    }

    /// Of what stands beside a value that could not be passed on, only single values that are told count: what is missing, or holds the
    /// faulty one, may be the victim of that.
    fn counts(&self, path: &str) -> bool {
        // A fault of the table that holds a faulty word, or of the field itself, says the same again.
        let is_spoilt = self.source.filled.spoilt.contains(path);
        if self.own.contains(path) || self.passed_on.contains(path) || is_spoilt {
            return false;
        }
        self.source.tells(path) || !self.homes.iter().any(|home| home.is_to_blame_for(path))
    }
}

/// What holds a field.
fn home(path: &str) -> &str {
    path.rfind('.')
        .and_then(|dot| path.get(..dot))
        .unwrap_or_default()
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
    let (message, source) = filled(name, text, kind)?;
    let faults = &source.filled.faults;
    if faults.is_empty() {
        return Ok((message, source));
    }
    let told = faults.iter().map(Told::from).collect();
    Err(NoSurvey::Faults(told, source))
}

/// What a text fills of a message, and the faults and places of its fields.
fn filled<M: Message + Default>(
    name: &str,
    text: &str,
    kind: &str,
) -> Result<(M, Source), NoSurvey> {
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
    let source = Source {
        name: name.to_owned(),
        text: text.to_owned(),
        filled: Box::new(filling.filled()),
    };
    Ok((request, source))
}
