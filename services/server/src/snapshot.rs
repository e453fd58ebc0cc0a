//! Everything a call is resolved in, taken once: catalogues and rule data at one moment.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io;
use std::path::Path;
use std::sync::Arc;

use catalogue::{Assembly, CatalogueFault, Catalogues, SourceFile};
use rules::RuleBook;

use crate::refused::Refused;

mod embedded {
    include!(concat!(env!("OUT_DIR"), "/embedded.rs"));
}

/// The catalogue of a request that names no branch.
pub const GENERIC: &str = "generic";

/// The most bytes of one catalogue file, and the most files; more is no catalogue but a mistaken folder.
const MOST_BYTES: u64 = 4 << 20;
const MOST_FILES: usize = 2000;

/// Catalogues and rule data at one moment. It is never changed, only replaced whole.
#[derive(Clone, Default)]
pub struct Snapshot {
    sound: BTreeMap<String, Arc<Assembly>>,
    faults: Vec<CatalogueFault>,
    rules: Arc<RuleBook>,
    rules_faulty: bool,
    /// The catalogues that stay as they were, because their new state has faults.
    stayed: BTreeSet<String>,
    rules_stayed: bool,
}

impl Snapshot {
    /// The catalogues that this program was built with.
    pub fn embedded() -> Self {
        let files = embedded::FILES.iter();
        Self::read(
            files
                .map(|(path, text)| SourceFile::new(*path, *text))
                .collect(),
        )
    }

    /// Catalogues and rule data from their texts, with the built-in ones wherever these tell nothing of their own: a folder with a branch alone
    /// finds the generic catalogue and all rule data.
    pub fn over_embedded(mut files: Vec<SourceFile>) -> Self {
        let top = |path: &str| path.split('/').next().unwrap_or_default().to_owned();
        let own: BTreeSet<String> = files.iter().map(|f| top(&f.path)).collect();
        let paths: BTreeSet<String> = files.iter().map(|f| f.path.clone()).collect();
        let missing = embedded::FILES
            .iter()
            .filter(|(path, _)| match top(path).as_str() {
                // One rule set a file: a file replaces a file. A catalogue is one thing: a folder replaces a folder.
                "rules" | "climates" => !paths.contains(*path),
                "examples" => false,
                folder => !own.contains(folder),
            });
        files.extend(missing.map(|(path, text)| SourceFile::new(*path, *text)));
        Self::read(files)
    }

    /// Catalogues and rule data from their texts and no others. A faulty one is left out and its faults are kept; the others are not touched by it.
    pub fn read(files: Vec<SourceFile>) -> Self {
        let rule_data = catalogue::rules::read(&files);
        let rules_faulty = !rule_data.faults.is_empty();
        let mut rules = rule_data.book;
        rules.details = rule_data.details;
        let catalogues = Catalogues::read(files);
        let names: Vec<String> = catalogues.names().map(str::to_owned).collect();
        let whole = names.into_iter().filter_map(|name| {
            let assembly = catalogues.assemble(&name).ok()?;
            Some((name, Arc::new(assembly)))
        });
        Self {
            sound: whole.collect(),
            faults: [catalogues.faults(), rule_data.faults].concat(),
            rules: Arc::new(rules),
            rules_faulty,
            stayed: BTreeSet::new(),
            rules_stayed: false,
        }
    }

    /// The same, with the last good state of what has since become faulty: of every catalogue that is gone while there are faults (a
    /// heading that cannot be read has no name), and of the rule data where any file of them has a fault.
    #[must_use]
    pub fn or_last_good(mut self, before: &Self) -> Self {
        if !self.faults.is_empty() {
            for (name, assembly) in &before.sound {
                if !self.sound.contains_key(name) {
                    self.sound.insert(name.clone(), Arc::clone(assembly));
                    self.stayed.insert(name.clone());
                }
            }
        }
        if self.rules_faulty {
            self.rules = Arc::clone(&before.rules);
            self.rules_stayed = true;
        }
        self
    }

    /// The names of the catalogues and branches that are sound.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.sound.keys().map(String::as_str)
    }

    /// The names of the catalogues that stay as they were, because their new state has faults.
    pub fn stayed(&self) -> impl Iterator<Item = &str> {
        self.stayed.iter().map(String::as_str)
    }

    /// Whether the rule data stay as they were, because their new state has faults.
    pub fn rules_stayed(&self) -> bool {
        self.rules_stayed
    }

    /// Every fault of every catalogue.
    pub fn faults(&self) -> &[CatalogueFault] {
        &self.faults
    }

    /// The rule data.
    pub fn rules(&self) -> &RuleBook {
        &self.rules
    }

    /// A branch, or the generic catalogue where the name is empty.
    ///
    /// # Errors
    /// There is no sound catalogue of that name.
    pub fn branch(&self, name: &str) -> Result<&Assembly, Refused> {
        let wanted = if name.is_empty() { GENERIC } else { name };
        match self.sound.get(wanted) {
            Some(assembly) => Ok(assembly),
            None => Err(Refused::unknown("branch", wanted, self.names())),
        }
    }
}

/// Every TOML file below a folder, in the order of their paths from it. Links are not followed, so that no folder is read twice.
///
/// # Errors
/// The folder cannot be read, or holds more than a catalogue ever does.
pub fn read_folder(root: &Path) -> io::Result<Vec<SourceFile>> {
    let mut files = Vec::new();
    let mut open = vec![(root.to_path_buf(), String::new())];
    while let Some((folder, label)) = open.pop() {
        for entry in fs::read_dir(&folder)? {
            let entry = entry?;
            let name = entry.file_name().to_string_lossy().into_owned();
            if name.starts_with('.') {
                continue;
            }
            let path = if label.is_empty() {
                name
            } else {
                format!("{label}/{name}")
            };
            let kind = fs::metadata(entry.path())?;
            if kind.is_dir() && !entry.file_type()?.is_symlink() {
                open.push((entry.path(), path));
            } else if kind.is_file() && Path::new(&path).extension().is_some_and(|e| e == "toml") {
                if kind.len() > MOST_BYTES || files.len() >= MOST_FILES {
                    let text = format!(
                        "{path}: a catalogue has at most {MOST_FILES} files of {MOST_BYTES} bytes"
                    );
                    return Err(io::Error::new(io::ErrorKind::InvalidData, text));
                }
                let text = fs::read(entry.path())?;
                files.push(SourceFile::new(path, String::from_utf8_lossy(&text)));
            }
        }
    }
    files.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(files)
}
