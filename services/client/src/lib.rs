//! The command line: runs any call from a survey file, against a server or in this process, and prints what a site foreman can read.
//!
//! Without a server it ends at the same functions that the server ends at, so the answers are the same bytes.

mod refusal;
mod survey;

mod ask;
mod request;

mod json;
mod print;
mod progress;

mod arguments;
mod run;

pub use arguments::Arguments;
pub use ask::{Estimator, Remote};
pub use refusal::{Refusal, Told};
pub use run::{Outcome, run};
pub use survey::{NoSurvey, Source, Survey, parse, parse_as, read};
