//! The program: put together, served, taken down.

use std::io;
use std::path::Path;
use std::thread::available_parallelism;

use tokio::runtime::Builder;
use tokio::signal::unix::{SignalKind, signal};
use tonic_health::pb::HealthCheckRequest;
use tonic_health::pb::health_check_response::ServingStatus;
use tonic_health::pb::health_client::HealthClient;
use tracing::info;
use tracing_subscriber::EnvFilter;

use crate::cache::ResultCache;
use crate::pool::Pool;
use crate::services::{Deadlines, Shell};
use crate::settings::{LogFormat, Settings, seconds};
use crate::{ENGINE_VERSION, reload, transport};

/// Serves until SIGTERM or SIGINT.
///
/// # Errors
/// A text for people: the socket is taken, the catalogues cannot be read, the transport failed.
pub fn serve(settings: &Settings) -> Result<(), String> {
    log_as_told(settings)?;
    let runtime = Builder::new_multi_thread().enable_all().build();
    let runtime = runtime.map_err(|e| e.to_string())?;
    let shell = shell(settings)?;
    let served = runtime.block_on(until_told(settings, &shell));
    // Computations that are still running are left behind: their callers are gone.
    runtime.shutdown_timeout(seconds(1));
    shell.flush();
    info!("down");
    served
}

fn shell(settings: &Settings) -> Result<Shell, String> {
    let limits = &settings.limits;
    let cores = available_parallelism().map_or(1, usize::from);
    let threads = if limits.cpu_threads == 0 {
        cores
    } else {
        limits.cpu_threads
    };
    let cache = &settings.cache;
    let folder = (!cache.folder.is_empty()).then(|| Path::new(&cache.folder));
    let deadlines = Deadlines {
        default: seconds(limits.default_timeout_seconds),
        most: seconds(limits.timeout_max_seconds),
    };
    Ok(Shell::new(
        reload::first(settings)?,
        Pool::new(limits.work_units, threads),
        ResultCache::open(cache.ram_bytes, folder, cache.disk_bytes),
        deadlines,
        limits.message_bytes,
    ))
}

async fn until_told(settings: &Settings, shell: &Shell) -> Result<(), String> {
    let hear = |kind| signal(kind).map_err(|e| e.to_string());
    let (mut terminate, mut interrupt) = (
        hear(SignalKind::terminate())?,
        hear(SignalKind::interrupt())?,
    );
    let bound = transport::bind(settings).await?;
    info!(address = %bound.address, engine = ENGINE_VERSION, "listening");
    if let Some(folder) = settings.catalogue_folder() {
        tokio::spawn(reload::watch(
            shell.clone(),
            folder,
            settings.catalogues.poll_seconds,
        ));
    }
    let stop = async move {
        tokio::select! {
            _ = terminate.recv() => {}
            _ = interrupt.recv() => {}
        }
    };
    transport::serve(bound, shell.clone(), settings, stop).await
}

/// Asks a server for its health: the probe of a container.
///
/// # Errors
/// It cannot be reached in three seconds, or does not serve.
pub fn ask_health(address: &str) -> Result<(), String> {
    let runtime = Builder::new_current_thread().enable_all().build();
    let runtime = runtime.map_err(|e| e.to_string())?;
    let asking = async {
        let channel = tonic::transport::Endpoint::from_shared(format!("http://{address}"));
        let channel = channel.map_err(|e| e.to_string())?.connect().await;
        let mut client = HealthClient::new(channel.map_err(|e| format!("{address}: {e}"))?);
        let service = String::new();
        let answer = client.check(HealthCheckRequest { service }).await;
        let answer = answer.map_err(|e| format!("{address}: {}", e.message()))?;
        let serving = answer.get_ref().status() == ServingStatus::Serving;
        serving
            .then_some(())
            .ok_or_else(|| format!("{address} does not serve"))
    };
    let asked = runtime.block_on(async { tokio::time::timeout(seconds(3), asking).await });
    asked.unwrap_or_else(|_| Err(format!("{address} does not answer")))
}

fn log_as_told(settings: &Settings) -> Result<(), String> {
    let filter = EnvFilter::try_new(&settings.log.filter);
    let filter = filter.map_err(|e| format!("log.filter: found `{}`: {e}", settings.log.filter))?;
    let log = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(io::stderr);
    let begun = match settings.log.format {
        LogFormat::Compact => log.compact().with_ansi(false).try_init(),
        LogFormat::Json => log.json().try_init(),
    };
    begun.map_err(|e| e.to_string())
}
