//! The socket: services, layers, limits, and going down in time.

mod accept;
mod mend;

use std::future::Future;
use std::net::SocketAddr;
use std::time::Duration;

use api::v1::catalogue_service_server::CatalogueServiceServer;
use api::v1::estimate_service_server::EstimateServiceServer;
use api::v1::fixing_service_server::FixingServiceServer;
use api::v1::physics_service_server::PhysicsServiceServer;
use api::v1::takeoff_service_server::TakeoffServiceServer;
use api::v1::thermal_service_server::ThermalServiceServer;
use http::{HeaderName, HeaderValue, Method};
use tokio::net::TcpListener;
use tokio::sync::oneshot;
use tokio::time::{sleep, timeout};
use tonic::codec::CompressionEncoding;
use tonic::service::Routes;
use tonic::transport::Server;
use tonic_health::server::HealthReporter;
use tonic_web::GrpcWebLayer;
use tower::util::option_layer;
use tower_http::cors::{AllowOrigin, CorsLayer};
use tracing::{info, warn};

use crate::services::Shell;
use crate::settings::{Settings, Web, seconds};

/// Flow-control windows: one answer of the usual size without waiting for the client.
const STREAM_WINDOW: u32 = 1 << 20;
const CONNECTION_WINDOW: u32 = 2 << 20;

/// A socket that listens, before anything is served on it.
pub struct Bound {
    listener: TcpListener,
    /// Where it listens; the port is a real one even where port 0 was asked for.
    pub address: SocketAddr,
}

/// Takes the address of the settings.
///
/// # Errors
/// The address is not one, or it is taken.
pub async fn bind(settings: &Settings) -> Result<Bound, String> {
    let wanted = settings.address()?;
    let listener = TcpListener::bind(wanted).await;
    let listener = listener.map_err(|e| format!("cannot listen on {wanted}: {e}"))?;
    let address = listener.local_addr().map_err(|e| e.to_string())?;
    Ok(Bound { listener, address })
}

/// Serves until `stop`, then goes down: says so in its health, still answers for the drain delay, stops accepting, lets open calls run for
/// the drain timeout, and drops what is left. A client that went silent cannot hold it up.
///
/// # Errors
/// The transport failed.
pub async fn serve(
    bound: Bound,
    shell: Shell,
    settings: &Settings,
    stop: impl Future<Output = ()>,
) -> Result<(), String> {
    let (health, routes) = routes(&shell, settings).await?;
    let incoming = accept::accept(bound.listener, &settings.limits);
    let (stopping, stopped) = oneshot::channel::<()>();
    let server = hardened(settings)
        .layer(option_layer(cors(&settings.web)))
        .layer(option_layer(settings.web.enabled.then(GrpcWebLayer::new)))
        .layer(mend::MendLayer)
        .add_routes(routes);
    let serving = server.serve_with_incoming_shutdown(incoming, async {
        let _ = stopped.await;
    });
    let mut serving = std::pin::pin!(serving);
    let drain = &settings.drain;
    tokio::select! {
        ended = &mut serving => return ended.map_err(|e| e.to_string()),
        () = stop => info!(delay_ms = drain.delay_ms, "going down"),
    }
    for service in SERVICES {
        health
            .set_service_status(service, tonic_health::ServingStatus::NotServing)
            .await;
    }
    tokio::select! {
        ended = &mut serving => return ended.map_err(|e| e.to_string()),
        () = sleep(Duration::from_millis(drain.delay_ms)) => shell.close(),
    }
    let _ = stopping.send(());
    let drained = timeout(Duration::from_millis(drain.timeout_ms), serving).await;
    if let Ok(ended) = drained {
        return ended.map_err(|e| e.to_string());
    }
    warn!("open calls were dropped at the end of the drain");
    Ok(())
}

/// The services whose health is told; the empty name stands for the whole server.
const SERVICES: [&str; 7] = [
    "",
    "etics.v1.CatalogueService",
    "etics.v1.EstimateService",
    "etics.v1.FixingService",
    "etics.v1.PhysicsService",
    "etics.v1.TakeoffService",
    "etics.v1.ThermalService",
];

fn hardened(settings: &Settings) -> Server {
    let limits = &settings.limits;
    Server::builder()
        .accept_http1(settings.web.enabled)
        .max_concurrent_streams(limits.concurrent_streams)
        .http2_max_header_list_size(limits.header_list_bytes)
        .http2_max_pending_accept_reset_streams(Some(limits.pending_reset_streams))
        .http2_keepalive_interval(Some(seconds(limits.keepalive_seconds)))
        .http2_keepalive_timeout(Some(seconds(limits.keepalive_timeout_seconds)))
        .initial_stream_window_size(STREAM_WINDOW)
        .initial_connection_window_size(CONNECTION_WINDOW)
        .max_connection_age(seconds(limits.connection_age_seconds))
}

async fn routes(shell: &Shell, settings: &Settings) -> Result<(HealthReporter, Routes), String> {
    let most = settings.limits.message_bytes;
    // The five services are five types, so the same limits are written by a macro.
    macro_rules! limited {
        ($server:ident) => {{
            let service = $server::new(shell.clone())
                .max_decoding_message_size(most)
                .max_encoding_message_size(most)
                .accept_compressed(CompressionEncoding::Gzip);
            if settings.server.gzip_answers {
                service.send_compressed(CompressionEncoding::Gzip)
            } else {
                service
            }
        }};
    }
    let (health, health_service) = tonic_health::server::health_reporter();
    for service in SERVICES {
        health
            .set_service_status(service, tonic_health::ServingStatus::Serving)
            .await;
    }
    let reflection = || {
        tonic_reflection::server::Builder::configure()
            .register_encoded_file_descriptor_set(api::DESCRIPTORS)
            .register_encoded_file_descriptor_set(tonic_health::pb::FILE_DESCRIPTOR_SET)
    };
    let described = |e: tonic_reflection::server::Error| format!("reflection: {e}");
    let mut routes = Routes::builder();
    routes
        .add_service(health_service)
        .add_service(reflection().build_v1().map_err(described)?)
        .add_service(reflection().build_v1alpha().map_err(described)?)
        .add_service(limited!(CatalogueServiceServer))
        .add_service(limited!(EstimateServiceServer))
        .add_service(limited!(FixingServiceServer))
        .add_service(limited!(PhysicsServiceServer))
        .add_service(limited!(TakeoffServiceServer))
        .add_service(limited!(ThermalServiceServer));
    Ok((health, routes.routes()))
}

/// Cross-origin rules for browsers: the origins that are named, and the headers that carry a status.
fn cors(web: &Web) -> Option<CorsLayer> {
    if !web.enabled {
        return None;
    }
    let origins = web.origins.iter();
    let origins: Vec<HeaderValue> = origins
        .filter_map(|o| HeaderValue::from_str(o).ok())
        .collect();
    let name = HeaderName::from_static;
    Some(
        CorsLayer::new()
            .allow_origin(AllowOrigin::list(origins))
            .allow_methods([Method::POST])
            .allow_headers([
                name("content-type"),
                name("x-grpc-web"),
                name("x-user-agent"),
                name("grpc-timeout"),
                name("connect-protocol-version"),
            ])
            .expose_headers([
                name("grpc-status"),
                name("grpc-message"),
                name("grpc-status-details-bin"),
            ])
            .max_age(seconds(3600)),
    )
}
