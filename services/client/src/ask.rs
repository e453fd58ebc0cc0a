//! Asking: over the wire, or by the same calls in this process.

use std::future::Future;
use std::path::Path;
use std::time::Duration;

use api::v1;
use api::v1::catalogue_service_client::CatalogueServiceClient;
use api::v1::estimate_service_client::EstimateServiceClient;
use api::v1::fixing_service_client::FixingServiceClient;
use api::v1::physics_service_client::PhysicsServiceClient;
use api::v1::takeoff_service_client::TakeoffServiceClient;
use api::v1::thermal_service_client::ThermalServiceClient;
use server::{Snapshot, calls, read_folder};
use tokio::runtime::{Builder, Runtime};
use tonic::transport::{Channel, Endpoint};
use tonic::{Request, Response, Status};
use working::Halt;

use crate::refusal::Refusal;

/// How long an answer may take.
const PATIENCE: Duration = Duration::from_secs(120);
/// The largest answer that is taken.
const MOST_BYTES: usize = 64 << 20;

/// Who answers.
pub enum Estimator {
    /// This process, with catalogues read once.
    Here(Box<Snapshot>),
    /// A server.
    There(Remote),
}

/// A server and the runtime that talks to it.
pub struct Remote {
    runtime: Runtime,
    channel: Channel,
}

impl Estimator {
    /// This process, with the catalogues of a folder over the built-in ones, or these alone.
    ///
    /// # Errors
    /// The folder cannot be read.
    pub fn here(catalogues: Option<&Path>) -> Result<Self, Refusal> {
        let Some(folder) = catalogues else {
            return Ok(Self::Here(Box::new(Snapshot::embedded())));
        };
        let files = read_folder(folder).map_err(|e| Refusal {
            reason: "UNREADABLE".to_owned(),
            summary: format!("{}: {e}", folder.display()),
            faults: Vec::new(),
        })?;
        Ok(Self::Here(Box::new(Snapshot::over_embedded(files))))
    }

    /// A server at `host:port`.
    ///
    /// # Errors
    /// It cannot be reached.
    pub fn there(address: &str) -> Result<Self, Refusal> {
        let unreachable = |why: String| Refusal {
            reason: "UNREACHABLE".to_owned(),
            summary: format!("{address}: {why}"),
            faults: Vec::new(),
        };
        let runtime = Builder::new_current_thread().enable_all().build();
        let runtime = runtime.map_err(|e| unreachable(e.to_string()))?;
        let endpoint = Endpoint::from_shared(format!("http://{address}"));
        let endpoint = endpoint.map_err(|e| unreachable(e.to_string()))?;
        let endpoint = endpoint.connect_timeout(Duration::from_secs(5));
        let channel = runtime.block_on(endpoint.connect());
        let channel = channel.map_err(|_| unreachable("no server answers there".to_owned()))?;
        Ok(Self::There(Remote { runtime, channel }))
    }
}

impl Remote {
    fn wait<A>(
        &self,
        asking: impl Future<Output = Result<Response<A>, Status>>,
    ) -> Result<A, Refusal> {
        let answer = self.runtime.block_on(asking);
        answer.map(Response::into_inner).map_err(Refusal::from)
    }
}

fn patient<Q>(wire: Q) -> Request<Q> {
    let mut request = Request::new(wire);
    request.set_timeout(PATIENCE);
    request
}

// One method a call: over the wire by its stub, here by the function that the stub ends at.
macro_rules! calls {
    ($($(#[$doc:meta])* $name:ident($request:ident) -> $answer:ident by $client:ident $(until $halt:path)?;)*) => {
        impl Estimator {
            $(
                $(#[$doc])*
                ///
                /// # Errors
                /// The call was refused.
                pub fn $name(&self, wire: v1::$request) -> Result<v1::$answer, Refusal> {
                    match self {
                        Self::Here(snapshot) => Ok(calls::$name(&wire, snapshot $(, $halt)?)?),
                        Self::There(remote) => {
                            let client = $client::new(remote.channel.clone());
                            let mut client = client.max_decoding_message_size(MOST_BYTES);
                            remote.wait(client.$name(patient(wire)))
                        }
                    }
                }
            )*
        }
    };
}
calls! {
    /// The whole job.
    estimate(EstimateRequest) -> EstimateResponse by EstimateServiceClient until Halt::NEVER;
    /// Setting-out and quantities.
    take_off(TakeOffRequest) -> TakeOffResponse by TakeoffServiceClient until Halt::NEVER;
    /// Thickness, transmittance, moisture.
    assess(AssessRequest) -> AssessResponse by ThermalServiceClient until Halt::NEVER;
    /// Wind, anchors, bond.
    design(DesignRequest) -> DesignResponse by FixingServiceClient until Halt::NEVER;
    /// The details of thermal bridges.
    list_details(ListDetailsRequest) -> ListDetailsResponse by PhysicsServiceClient;
    /// A wall of the caller's own.
    wall(WallRequest) -> WallResponse by PhysicsServiceClient;
    /// A thermal bridge.
    bridge(BridgeRequest) -> BridgeResponse by PhysicsServiceClient until Halt::NEVER;
    /// Dynamic characteristics.
    dynamics(DynamicsRequest) -> DynamicsResponse by PhysicsServiceClient;
    /// Economic thickness.
    economy(EconomyRequest) -> EconomyResponse by PhysicsServiceClient;
    /// The saving of a year.
    saving(SavingRequest) -> SavingResponse by PhysicsServiceClient;
    /// Drying behind boards.
    drying(DryingRequest) -> DryingResponse by PhysicsServiceClient until Halt::NEVER;
    /// The articles of a branch.
    list_articles(ListArticlesRequest) -> ListArticlesResponse by CatalogueServiceClient;
    /// The systems of a branch.
    list_systems(ListSystemsRequest) -> ListSystemsResponse by CatalogueServiceClient;
    /// One article.
    get_article(GetArticleRequest) -> GetArticleResponse by CatalogueServiceClient;
    /// The faults of catalogue files.
    check(CheckRequest) -> CheckResponse by CatalogueServiceClient;
}
