//! The server: the only crate that knows gRPC, files, time, signals and the result cache.
//!
//! [`calls`] holds what it answers, each call a plain function of five lines that the command line runs as well; around it lies an
//! asynchronous shell that takes the snapshot, admits, computes on a bounded pool, applies the deadline, and keeps results.

mod nearest;
mod refused;

mod from_proto;
mod snapshot;
mod to_proto;

pub mod calls;

mod status;

mod cache;
mod pool;
mod services;

mod reload;
mod settings;
mod transport;

mod run;

pub use from_proto::MOST_TEXT;
pub use nearest::nearest;
pub use refused::Refused;
pub use run::{ask_health, serve};
pub use settings::{Cache, Drain, Folder, Limits, Log, LogFormat, Server, Settings, Web};
pub use snapshot::{GENERIC, Snapshot, read_folder};
pub use status::status;

/// Every fault that the whole job's request has in itself, without a catalogue.
pub fn faults_of(request: &api::v1::EstimateRequest) -> Vec<working::Fault> {
    from_proto::estimate(request)
        .err()
        .map_or_else(Vec::new, |unsound| unsound.faults)
}

/// The engine's version with a fingerprint of every source that an answer depends on.
pub const ENGINE_VERSION: &str = concat!(env!("CARGO_PKG_VERSION"), "+", env!("ETICS_FINGERPRINT"));
