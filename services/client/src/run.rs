//! One command: read, ask, print.

mod physics;

use std::collections::BTreeSet;
use std::fs;
use std::io::{self, Write as _};
use std::path::Path;

use api::v1;
use prost::Message;
use server::read_folder;

use crate::arguments::{Answerer, Arguments, Catalogue, Command, Job};
use crate::ask::Estimator;
use crate::progress::Shown;
use crate::refusal::Refusal;
use crate::survey::{NoSurvey, Source, Survey};
use crate::{json, print, request, survey};

/// How a command ended; each is an exit code.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// There is an answer: 0.
    Answered,
    /// The survey or the catalogue was refused: 1.
    Refused,
    /// The command cannot be carried out: a file or a server that is not there: 2.
    Misused,
}

/// Carries a command out.
pub fn run(arguments: &Arguments) -> Outcome {
    let done = match &arguments.command {
        Command::Estimate(job) => answer(job, Part::Whole),
        Command::Thermal(job) => answer(job, Part::Thermal),
        Command::Fixing(job) => answer(job, Part::Fixing),
        Command::Takeoff(job) => answer(job, Part::Takeoff),
        Command::Wall(weathered) => physics::wall(weathered),
        Command::Bridge(question) => physics::bridge(question),
        Command::Dynamics(question) => physics::dynamics(question),
        Command::Economy(question) => physics::economy(question),
        Command::Saving(weathered) => physics::saving(weathered),
        Command::Drying(weathered) => physics::drying(weathered),
        Command::Details(answerer) => physics::details(answerer),
        Command::Catalogue(Catalogue::Check { folder, json }) => check(folder, *json),
        Command::Catalogue(Catalogue::List {
            answerer,
            branch,
            kind,
        }) => list(answerer, branch.as_deref(), kind.as_deref()),
        Command::Catalogue(Catalogue::Show {
            key,
            answerer,
            branch,
        }) => show(key, answerer, branch.as_deref()),
    };
    match done {
        Ok(outcome) => outcome,
        Err(end) => end.tell(),
    }
}

/// A command that has no answer.
enum End {
    Refused(Box<(Refusal, Option<Source>)>, Form),
    NoSurvey(Box<NoSurvey>, Form),
    Misused(String),
}

/// For people or for machines.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Form {
    Text,
    Json,
}

impl Form {
    fn of(json: bool) -> Self {
        if json { Self::Json } else { Self::Text }
    }
}

impl End {
    /// A call that was refused, with the survey file that asked.
    fn refused(refusal: Refusal, source: Option<Source>, form: Form) -> Self {
        Self::Refused(Box::new((refusal, source)), form)
    }

    /// A file that is no survey; one that cannot be read is a misuse.
    fn no_survey(why: NoSurvey, form: Form) -> Self {
        match why {
            NoSurvey::Unreadable(text) => Self::Misused(text),
            why => Self::NoSurvey(Box::new(why), form),
        }
    }

    fn tell(self) -> Outcome {
        match self {
            Self::Misused(text) => {
                eprintln!("{text}");
                Outcome::Misused
            }
            Self::NoSurvey(why, Form::Text) => {
                eprint!("{}", print::no_survey(&why));
                Outcome::Refused
            }
            Self::NoSurvey(why, Form::Json) => {
                let refusal = match &*why {
                    NoSurvey::Faults(faults, _) => Refusal::of_faults(faults),
                    _ => Refusal {
                        reason: "SYNTAX".to_owned(),
                        summary: print::no_survey(&why),
                        faults: Vec::new(),
                    },
                };
                let _ = say(&json::refusal(&refusal));
                Outcome::Refused
            }
            Self::Refused(refused, form) => {
                let (refusal, source) = *refused;
                if form == Form::Json {
                    let _ = say(&json::refusal(&refusal));
                } else {
                    eprint!("{}", print::refused(&refusal, source.as_ref()));
                }
                let misused = matches!(refusal.reason.as_str(), "UNREACHABLE" | "UNREADABLE");
                if misused {
                    Outcome::Misused
                } else {
                    Outcome::Refused
                }
            }
        }
    }
}

/// What of the job is asked for.
#[derive(Clone, Copy)]
enum Part {
    Whole,
    Thermal,
    Fixing,
    Takeoff,
}

fn answer(job: &Job, part: Part) -> Result<Outcome, End> {
    let form = Form::of(job.answerer.json);
    let names = |unsound| {
        let asked = estimator(&job.answerer)
            .and_then(|estimator| estimator.estimate(request::whole(unsound, job)));
        let refusal = asked.err()?;
        if refusal.faults.is_empty() {
            let why = &refusal.summary;
            eprintln!("names of the catalogues and rule data were not checked because {why}");
        }
        Some(refusal)
    };
    let Survey { request, source } =
        survey::read(&job.survey, names).map_err(|why| End::no_survey(why, form))?;
    let refused = |refusal| End::refused(refusal, Some(source), form);
    match ask(job, part, request) {
        Err(refusal) => Err(refused(refusal)),
        Ok((text, drawings)) => {
            say(&text)?;
            if let Some(folder) = &job.drawings {
                keep(folder, &drawings)?;
            }
            Ok(Outcome::Answered)
        }
    }
}

/// The answer as text in the form asked for, and its drawings.
fn ask(
    job: &Job,
    part: Part,
    request: v1::EstimateRequest,
) -> Result<(String, Vec<v1::Drawing>), Refusal> {
    let estimator = estimator(&job.answerer)?;
    let whole = request::whole(request, job);
    let shown = Shown::begin("calculating");
    macro_rules! told {
        ($call:expr, $name:literal, $print:path) => {{
            let mut answer = $call?;
            drop(shown);
            let drawings = std::mem::take(&mut answer.drawings);
            (text(&job.answerer, $name, &answer, $print)?, drawings)
        }};
    }
    Ok(match part {
        Part::Whole => told!(
            estimator.estimate(whole),
            "EstimateResponse",
            print::estimate
        ),
        Part::Thermal => told!(
            estimator.assess(request::thermal(whole)),
            "AssessResponse",
            print::thermal
        ),
        Part::Fixing => told!(
            estimator.design(request::fixing(whole)),
            "DesignResponse",
            print::fixing
        ),
        Part::Takeoff => told!(
            estimator.take_off(request::takeoff(whole)),
            "TakeOffResponse",
            print::takeoff
        ),
    })
}

fn estimator(answerer: &Answerer) -> Result<Estimator, Refusal> {
    match &answerer.server {
        Some(address) => Estimator::there(address),
        None => Estimator::here(answerer.catalogues.as_deref()),
    }
}

fn text<M: Message>(
    answerer: &Answerer,
    name: &str,
    answer: &M,
    print: impl FnOnce(&M) -> String,
) -> Result<String, Refusal> {
    if !answerer.json {
        return Ok(print(answer));
    }
    json::message(name, answer).map_err(|why| Refusal {
        reason: "INTERNAL".to_owned(),
        summary: why,
        faults: Vec::new(),
    })
}

fn list(answerer: &Answerer, branch: Option<&str>, kind: Option<&str>) -> Result<Outcome, End> {
    let form = Form::of(answerer.json);
    let listed = || -> Result<String, Refusal> {
        let estimator = estimator(answerer)?;
        let branch = branch.unwrap_or_default().to_owned();
        let kind = kind.unwrap_or_default().to_owned();
        let systems = if kind.is_empty() || kind == "system" {
            estimator.list_systems(v1::ListSystemsRequest {
                branch: branch.clone(),
            })?
        } else {
            v1::ListSystemsResponse::default()
        };
        let kind = if kind == "system" {
            String::new()
        } else {
            kind
        };
        let articles = estimator.list_articles(v1::ListArticlesRequest { branch, kind })?;
        text(answerer, "ListArticlesResponse", &articles, |a| {
            print::listing(&systems, a)
        })
    };
    say(&listed().map_err(|r| End::refused(r, None, form))?)?;
    Ok(Outcome::Answered)
}

fn show(key: &str, answerer: &Answerer, branch: Option<&str>) -> Result<Outcome, End> {
    let form = Form::of(answerer.json);
    let shown = || -> Result<String, Refusal> {
        let branch = branch.unwrap_or_default().to_owned();
        let key = key.to_owned();
        let article = estimator(answerer)?.get_article(v1::GetArticleRequest { branch, key })?;
        text(answerer, "GetArticleResponse", &article, print::article)
    };
    say(&shown().map_err(|r| End::refused(r, None, form))?)?;
    Ok(Outcome::Answered)
}

fn check(folder: &Path, json: bool) -> Result<Outcome, End> {
    let unreadable = |e: io::Error| End::Misused(format!("{}: {e}", folder.display()));
    let files = read_folder(folder).map_err(unreadable)?;
    let files = files.into_iter().map(|f| v1::CatalogueFile {
        path: f.path,
        text: f.text,
    });
    let wire = v1::CheckRequest {
        files: files.collect(),
    };
    let form = Form::of(json);
    let here = Estimator::Here(Box::default());
    let checked = here.check(wire).map_err(|r| End::refused(r, None, form))?;
    let text = match form {
        Form::Text => print::check(&checked),
        Form::Json => json::message("CheckResponse", &checked).map_err(End::Misused)?,
    };
    say(&text)?;
    Ok(if checked.faults.is_empty() {
        Outcome::Answered
    } else {
        Outcome::Refused
    })
}

/// Prints to standard output. A reader that went away, such as a pager that was closed, is no fault.
fn say(text: &str) -> Result<(), End> {
    let mut out = io::stdout().lock();
    match out
        .write_all(text.trim_end().as_bytes())
        .and_then(|()| out.write_all(b"\n"))
    {
        Err(e) if e.kind() != io::ErrorKind::BrokenPipe => Err(End::Misused(e.to_string())),
        _ => Ok(()),
    }
}

/// A name that no drawing of this run has yet, whether or not the file system tells capitals from small letters.
fn unused(name: &str, used: &mut BTreeSet<String>) -> String {
    let (stem, ending) = name.rsplit_once('.').unwrap_or((name, "svg"));
    let mut free = name.to_owned();
    let mut count = 2;
    while !used.insert(free.to_lowercase()) {
        free = format!("{stem} ({count}).{ending}");
        count += 1;
    }
    free
}

/// Writes drawings into a folder, each to a file of its own: a server may give two drawings one name.
fn keep(folder: &Path, drawings: &[v1::Drawing]) -> Result<(), End> {
    let failed = |e: io::Error| End::Misused(format!("{}: {e}", folder.display()));
    fs::create_dir_all(folder).map_err(failed)?;
    let mut used = BTreeSet::new();
    for drawing in drawings {
        // A name that came over the wire must not lead out of the folder.
        let Some(name) = Path::new(&drawing.name).file_name() else {
            continue;
        };
        let path = folder.join(unused(&name.to_string_lossy(), &mut used));
        fs::write(&path, &drawing.svg).map_err(failed)?;
        eprintln!("{}: {}", path.display(), drawing.title);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_drawing_is_written_over_another_of_the_same_run() {
        let mut used = BTreeSet::new();
        let mut next = |name: &str| unused(name, &mut used);
        assert_eq!(next("a-1.svg"), "a-1.svg");
        assert_eq!(next("A-1.svg"), "A-1 (2).svg");
        assert_eq!(next("a-1.svg"), "a-1 (3).svg");
        assert_eq!(next("a-1 (2).svg"), "a-1 (2) (2).svg");
    }
}
