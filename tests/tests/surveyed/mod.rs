//! The demo surveys as requests.

use std::path::Path;

use api::v1;
use client::read;

/// The request of a survey below `surveys`, with what should come back beside the kit.
pub fn request(name: &str, include: v1::Include) -> v1::EstimateRequest {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("surveys/{name}.toml"));
    let Ok(survey) = read(&path, |_| None) else {
        panic!("{name} cannot be read")
    };
    v1::EstimateRequest {
        include: Some(include),
        ..survey.request
    }
}
