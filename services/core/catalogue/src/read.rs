//! From files to catalogues: which file belongs to which, and what each says.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use toml::de::{DeTable, DeValue};

use crate::articles::{Articles, told_at};
use crate::entry::entry;
use crate::fault::{Fact, Found};
use crate::nearest::nearest;
use crate::source::{Place, SourceFile, look_up};
use crate::value::{Reading, Text, Value};

/// The one format that is read.
pub(crate) const FORMAT: &str = "1";
/// Longer files are refused: the largest catalogue in use is a hundredth of it.
const LONGEST_FILE: usize = 4 << 20;
/// The file that makes its folder a catalogue.
const HEADING_FILE: &str = "catalogue.toml";

entry! {
    /// What a catalogue is called, its currency, and which catalogue it is laid over.
    HeadingEntry {
        /// The name by which requests and other catalogues call it.
        name: String = "name", Required, Text::Key;
        /// The name for people.
        title: String = "title", Optional, Text::Free;
        /// The currency of every price in this catalogue's own files, by ISO 4217. Prices of a parent in another currency are not taken over.
        currency: String = "currency", Required, Text::Currency;
        /// The catalogue that this one is laid over, at most one.
        extends: String = "extends", Optional, Text::Key;
        /// The day from which the prices hold.
        effective: String = "effective", Optional, Text::Date;
        /// Free text.
        notes: String = "notes", Optional, Text::Free;
    }
}

/// One catalogue as written, before anything is laid over it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Written {
    pub heading: HeadingEntry,
    pub articles: Articles,
    pub found: Vec<Found>,
    /// Whether a file could not be read to its end, so that articles may be missing that are there.
    pub torn: bool,
}

/// All catalogues by name, and what belongs to none of them.
#[derive(Clone, Debug, Default)]
pub(crate) struct Shelf {
    pub catalogues: BTreeMap<String, Written>,
    pub loose: Vec<Found>,
}

/// One file after reading.
struct Page {
    heading: Option<HeadingEntry>,
    articles: Articles,
    found: Vec<Found>,
    torn: bool,
}

/// Whether a file is rule or climate data, which other readers take.
pub(crate) fn is_rule_data(file: &SourceFile) -> bool {
    let mut folders = file.folder().split('/');
    folders.any(|part| matches!(part, "rules" | "climates"))
}

/// Reads every file that is not rule data into the catalogue of its folder.
pub(crate) fn shelve(files: &[SourceFile]) -> Shelf {
    let mut shelf = Shelf::default();
    let headings = files
        .iter()
        .filter(|f| f.file_name() == HEADING_FILE && !is_rule_data(f));
    let folders: Vec<&str> = headings.map(SourceFile::folder).collect();
    let mut by_folder: BTreeMap<&str, Written> = BTreeMap::new();
    for (number, file) in files.iter().enumerate().filter(|(_, f)| !is_rule_data(f)) {
        let number = u32::try_from(number).unwrap_or(u32::MAX);
        let home = folders
            .iter()
            .filter(|folder| lies_in(file.folder(), folder));
        let Some(home) = home.max_by_key(|folder| folder.len()) else {
            shelf.loose.push(homeless(file, number));
            continue;
        };
        let page = read_page(file, number);
        let written = by_folder.entry(home).or_default();
        written.found.extend(page.found);
        written.torn |= page.torn;
        let mut found = Vec::new();
        written.articles.take_in(page.articles, files, &mut found);
        written.found.extend(found);
        if let Some(heading) = page.heading {
            written.heading = heading;
        }
    }
    for (folder, written) in by_folder {
        shelf.put(folder, written, files);
    }
    shelf
}

fn lies_in(folder: &str, home: &str) -> bool {
    let rest = folder.strip_prefix(home);
    home.is_empty() || rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}

fn homeless(file: &SourceFile, number: u32) -> Found {
    Found {
        at: Place::new(number, &(0..0)),
        fact: Fact::NoHeading {
            folder: file.folder().into(),
        },
        help: Some("a catalogue is a folder with a `catalogue.toml` that holds [catalogue] with name and currency".into()),
    }
}

impl Shelf {
    fn put(&mut self, folder: &str, mut written: Written, files: &[SourceFile]) {
        written
            .heading
            .report_missing("[catalogue]", &mut written.found);
        // A heading that cannot be read does not hide the faults of its files: the folder lends its name.
        let by_folder = || folder.rsplit('/').next().unwrap_or(folder).to_string();
        let named = written.heading.name.as_ref();
        let name = named.map_or_else(by_folder, |n| n.value.clone());
        let at = named.map_or(written.heading.at, |n| n.at);
        let Some(first) = self.catalogues.get(&name) else {
            self.catalogues.insert(name, written);
            return;
        };
        let first = first
            .heading
            .name
            .as_ref()
            .map_or(first.heading.at, |n| n.at);
        let fact = Fact::Twice {
            what: format!("catalogue `{name}`"),
            first: told_at(first, files),
        };
        self.loose.push(Found {
            at,
            fact,
            help: None,
        });
        self.loose.append(&mut written.found);
    }
}

fn read_page(file: &SourceFile, number: u32) -> Page {
    let mut page = Page {
        heading: None,
        articles: Articles::default(),
        found: Vec::new(),
        torn: true,
    };
    let mut reading = Reading {
        file: number,
        found: &mut page.found,
    };
    let Some(opened) = open(file, &mut reading) else {
        return page;
    };
    page.torn = !opened.torn_lines.is_empty();
    let is_heading = file.file_name() == HEADING_FILE;
    if is_heading {
        let at = Place::new(number, &(0..0));
        page.heading = Some(HeadingEntry {
            at,
            ..HeadingEntry::default()
        });
    }
    for (key, raw) in opened.table.get_ref() {
        let at = reading.place(&key.span());
        match key.get_ref().as_ref() {
            "format" => {}
            "catalogue" if is_heading => {
                page.heading = HeadingEntry::read(raw.get_ref(), at, &(), &mut reading);
            }
            "catalogue" => {
                let fact = Fact::UnknownKey {
                    key: "catalogue".into(),
                    within: "this file".into(),
                };
                let help = "the heading stands in `catalogue.toml`".to_string();
                reading.fault(at, fact, Some(help));
            }
            kind => {
                if !page.articles.read(kind, raw.get_ref(), at, &mut reading) {
                    unknown_kind(kind, at, &mut reading);
                }
            }
        }
    }
    if page.torn {
        opened.drop_echoes(file, &mut page.found);
    }
    page
}

fn unknown_kind(kind: &str, at: Place, reading: &mut Reading<'_>) {
    let near = nearest(kind, Articles::KINDS.iter().copied());
    let help = match near {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("kinds of article: {}", Articles::KINDS.join(", ")),
    };
    let fact = Fact::UnknownKey {
        key: kind.into(),
        within: "this file".into(),
    };
    reading.fault(at, fact, Some(help));
}

/// A file whose format is known.
pub(crate) struct Opened<'i> {
    pub table: toml::Spanned<DeTable<'i>>,
    /// The lines with errors of syntax.
    pub torn_lines: Vec<u32>,
}

impl Opened<'_> {
    /// Forgets what was found in a line that is not even TOML: it speaks of a value that nobody wrote.
    pub fn drop_echoes(&self, file: &SourceFile, found: &mut Vec<Found>) {
        found.retain(|f| {
            matches!(f.fact, Fact::Syntax { .. })
                || !self.torn_lines.contains(&look_up(&file.text, f.at).line)
        });
    }
}

/// Parses a file and reads its format first. A file of another format gives that one fault and nothing else.
pub(crate) fn open<'i>(file: &'i SourceFile, reading: &mut Reading<'_>) -> Option<Opened<'i>> {
    let start = reading.place(&(0..0));
    if file.text.len() > LONGEST_FILE {
        let fact = Fact::TooLong {
            bytes: file.text.len(),
            limit: LONGEST_FILE,
        };
        reading.fault(start, fact, None);
        return None;
    }
    let (table, errors) = DeTable::parse_recoverable(&file.text);
    let format = table.get_ref().get("format").map(|raw| {
        let at = reading.place(&raw.span());
        match raw.get_ref() {
            DeValue::Integer(n) => (at, n.to_string()),
            DeValue::String(text) => (at, format!("\"{text}\"")),
            _ => (at, "of another type".into()),
        }
    });
    if let Some((at, found)) = &format
        && found != FORMAT
    {
        let fact = Fact::UnknownFormat {
            found: found.clone(),
        };
        let help = format!("this version reads `format = {FORMAT}`");
        reading.fault(*at, fact, Some(help));
        return None;
    }
    let mut torn_lines = Vec::new();
    for error in errors {
        let at = reading.place(&error.span().unwrap_or(0..0));
        // One slip often gives several errors in its line; the first says what is wrong.
        let line = look_up(&file.text, at).line;
        if torn_lines.contains(&line) {
            continue;
        }
        torn_lines.push(line);
        let fact = Fact::Syntax {
            message: error.message().replace('\n', " "),
        };
        reading.fault(at, fact, None);
    }
    if format.is_none() {
        let help = format!("begin the file with `format = {FORMAT}`");
        reading.fault(start, Fact::NoFormat, Some(help));
        return None;
    }
    Some(Opened { table, torn_lines })
}
