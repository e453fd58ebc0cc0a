//! Mends the two statuses that the transport gets wrong: a message that is too large is RESOURCE_EXHAUSTED and not OUT_OF_RANGE, and a
//! call that is late is DEADLINE_EXCEEDED and not CANCELLED.

use std::future::Future;
use std::pin::Pin;
use std::task::{Context, Poll};

use http::{Request, Response};
use tower::{Layer, Service};

use crate::refused::Refused;
use crate::status::mended;

/// The layer.
#[derive(Clone, Copy)]
pub(super) struct MendLayer;

/// The service of the layer.
#[derive(Clone)]
pub(super) struct Mend<S> {
    inner: S,
}

impl<S> Layer<S> for MendLayer {
    type Service = Mend<S>;
    fn layer(&self, inner: S) -> Mend<S> {
        Mend { inner }
    }
}

impl<S, Q, A> Service<Request<Q>> for Mend<S>
where
    S: Service<Request<Q>, Response = Response<A>>,
    S::Future: Send + 'static,
    A: Default,
{
    type Response = S::Response;
    type Error = S::Error;
    type Future = Pin<Box<dyn Future<Output = Result<S::Response, S::Error>> + Send>>;

    fn poll_ready(&mut self, context: &mut Context<'_>) -> Poll<Result<(), S::Error>> {
        self.inner.poll_ready(context)
    }

    fn call(&mut self, request: Request<Q>) -> Self::Future {
        let answering = self.inner.call(request);
        Box::pin(async move {
            let response = answering.await?;
            Ok(match wrong(&response) {
                Some(refused) => mended(&refused),
                None => response,
            })
        })
    }
}

/// What a response of the transport should have said.
fn wrong<A>(response: &Response<A>) -> Option<Refused> {
    let header = |name: &str| response.headers().get(name).and_then(|v| v.to_str().ok());
    let message = header("grpc-message").unwrap_or_default();
    match header("grpc-status")? {
        "11" if message.contains("message") && message.contains("too") => {
            Some(Refused::MessageTooLarge)
        }
        "1" if message.starts_with("Timeout") => Some(Refused::DeadlineExceeded),
        _ => None,
    }
}
