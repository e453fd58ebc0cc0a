//! The asynchronous shell round the calls: snapshot, admission, computation, deadline, cache.

use std::future::Future;
use std::sync::{Arc, PoisonError, RwLock};
use std::time::Duration;

use api::v1;
use api::v1::catalogue_service_server::CatalogueService;
use api::v1::estimate_service_server::EstimateService;
use api::v1::fixing_service_server::FixingService;
use api::v1::physics_service_server::PhysicsService;
use api::v1::takeoff_service_server::TakeoffService;
use api::v1::thermal_service_server::ThermalService;
use prost::Message;
use tokio::time::{Instant, timeout_at};
use tonic::{Request, Response, Status};
use tracing::{debug, error, warn};
use working::Halt;

use crate::cache::{Ingredients, Key, ResultCache};
use crate::pool::Pool;
use crate::refused::Refused;
use crate::snapshot::Snapshot;
use crate::status::status;
use crate::{ENGINE_VERSION, calls};

/// How deadlines are set.
#[derive(Clone, Copy, Debug)]
pub struct Deadlines {
    /// That of a call which names none.
    pub default: Duration,
    /// The longest that is granted.
    pub most: Duration,
}

/// The shell. Cheap to clone; all clones share one state.
#[derive(Clone)]
pub struct Shell {
    shared: Arc<Shared>,
}

struct Shared {
    snapshot: RwLock<Arc<Snapshot>>,
    pool: Pool,
    cache: ResultCache,
    deadlines: Deadlines,
    most_bytes: usize,
}

/// Steps of the setting-out search for each board where a request grants none of its own.
const USUAL_STEPS: u64 = 3_000;

/// A request whose answer is worth keeping.
trait Kept: Message + Clone + 'static {
    /// The kind of call; contract of the cache.
    const KIND: u8;
    fn branch(&self) -> &str;
    /// The openings of the building.
    fn openings(&self) -> usize {
        0
    }
    /// Steps of the setting-out search for each board; 0 for the usual ones.
    fn search_steps(&self) -> u64 {
        0
    }
    /// Whether each rule of setting-out is searched without.
    fn rule_costs(&self) -> bool {
        false
    }
    /// What the computation weighs: 1 for a small house, and one more for every twenty openings; as many times of that as the search is
    /// granted the usual steps, and as it is made anew for what rules cost.
    fn weight(&self) -> u32 {
        let once = u32::try_from(1 + self.openings() / 20).unwrap_or(u32::MAX);
        let longer = self.search_steps().div_ceil(USUAL_STEPS).max(1);
        let longer = u32::try_from(longer).unwrap_or(u32::MAX);
        let searches = if self.rule_costs() { 9 } else { 1 };
        once.saturating_mul(longer).saturating_mul(searches)
    }
}

macro_rules! kept {
    ($($request:ident, $module:ident, $kind:literal, $steps:expr;)*) => { $(
        impl Kept for v1::$request {
            const KIND: u8 = $kind;
            fn branch(&self) -> &str {
                &self.branch
            }
            fn openings(&self) -> usize {
                use v1::$module::Survey;
                match &self.survey {
                    Some(Survey::Building(b)) => b.facades.iter().map(|f| f.openings.len()).sum(),
                    Some(Survey::Short(short)) => short.opening_count as usize,
                    None => 0,
                }
            }
            fn search_steps(&self) -> u64 {
                let of: fn(&Self) -> u64 = $steps;
                of(self)
            }
            fn rule_costs(&self) -> bool {
                self.include.as_ref().is_some_and(|include| include.rule_costs)
            }
        }
    )* };
}
kept! {
    EstimateRequest, estimate_request, 1, |q| q.search_budget_steps;
    TakeOffRequest, take_off_request, 2, |q| q.search_budget_steps;
    AssessRequest, assess_request, 3, |_| 0;
    DesignRequest, design_request, 4, |q| q.search_budget_steps;
}

macro_rules! kept_without_survey {
    ($($request:ident, $kind:literal, $branch:expr, $weight:expr;)*) => { $(
        impl Kept for v1::$request {
            const KIND: u8 = $kind;
            fn branch(&self) -> &str {
                let of: fn(&Self) -> &str = $branch;
                of(self)
            }
            fn weight(&self) -> u32 {
                let of: fn(&Self) -> u32 = $weight;
                of(self)
            }
        }
    )* };
}
kept_without_survey! {
    BridgeRequest, 5, |_| "", |_| 4;
    DynamicsRequest, 6, |_| "", |_| 1;
    EconomyRequest, 7, |q| &q.branch, |_| 1;
    SavingRequest, 8, |_| "", |_| 1;
    DryingRequest, 9, |q| &q.branch, drying_weight;
    WallRequest, 10, |_| "", |_| 1;
}

/// A drying weighs by the years that each of its walls is followed.
fn drying_weight(request: &v1::DryingRequest) -> u32 {
    let years = request.years.unwrap_or(5.0).clamp(1.0, 10.0).ceil() as u32;
    let walls = u32::try_from(request.candidates.len().clamp(1, 8)).unwrap_or(8);
    // An hourly year takes several times as long as one that swings.
    let each = if request.weather.is_some() { 6 } else { 2 };
    each * years * walls
}

/// A plain call.
type Call<Q, A> = fn(&Q, &Snapshot) -> Result<A, Refused>;

/// A plain call whose answer is worth keeping; one that can take long heeds the halt.
type KeptCall<Q, A> = fn(&Q, &Snapshot, Halt<'_>) -> Result<A, Refused>;

impl Shell {
    /// A shell round a snapshot.
    pub fn new(
        snapshot: Snapshot,
        pool: Pool,
        cache: ResultCache,
        deadlines: Deadlines,
        most_bytes: usize,
    ) -> Self {
        let snapshot = RwLock::new(Arc::new(snapshot));
        let shared = Shared {
            snapshot,
            pool,
            cache,
            deadlines,
            most_bytes,
        };
        Self {
            shared: Arc::new(shared),
        }
    }

    /// The snapshot of this moment.
    pub fn snapshot(&self) -> Arc<Snapshot> {
        let guard = self.shared.snapshot.read();
        Arc::clone(&guard.unwrap_or_else(PoisonError::into_inner))
    }

    /// Replaces the snapshot whole. Calls under way keep the one they took.
    pub fn replace_snapshot(&self, snapshot: Snapshot) {
        let guard = self.shared.snapshot.write();
        *guard.unwrap_or_else(PoisonError::into_inner) = Arc::new(snapshot);
    }

    /// Takes no more work on.
    pub fn close(&self) {
        self.shared.pool.close();
    }

    /// Writes what the cache has not yet written.
    pub fn flush(&self) {
        self.shared.cache.flush();
    }

    fn deadline<Q>(&self, request: &Request<Q>) -> Instant {
        let Deadlines { default, most } = self.shared.deadlines;
        let told = request.metadata().get("grpc-timeout");
        let told = told.and_then(|t| t.to_str().ok()).and_then(grpc_timeout);
        // The transport cuts a late call off with CANCELLED; answering a little earlier lets it say DEADLINE_EXCEEDED.
        let early = |t: Duration| t.saturating_sub((t / 50).max(Duration::from_millis(2)));
        Instant::now() + told.map_or(default, early).min(most)
    }

    /// A call that is worth keeping.
    async fn keep<Q: Kept, A: Message + Default + 'static>(
        &self,
        request: Request<Q>,
        call: KeptCall<Q, A>,
    ) -> Result<Response<A>, Status> {
        let deadline = self.deadline(&request);
        let wire = request.into_inner();
        answer(deadline, async {
            let bytes = self.bytes(wire, deadline, call).await?;
            let (bytes_of_it, most) = (bytes.len(), self.shared.most_bytes);
            if bytes_of_it > most {
                let bytes = bytes_of_it;
                return Err(Refused::AnswerTooLarge { bytes, most });
            }
            A::decode(&*bytes).map_err(|e| Refused::Internal(format!("a kept answer: {e}")))
        })
        .await
    }

    async fn bytes<Q: Kept, A: Message + 'static>(
        &self,
        wire: Q,
        deadline: Instant,
        call: KeptCall<Q, A>,
    ) -> Result<Arc<[u8]>, Refused> {
        let snapshot = self.snapshot();
        let branch = snapshot.branch(wire.branch());
        let revision = branch.as_ref().map_or("", |b| &b.assortment.revision);
        let key = Key::of(&Ingredients {
            kind: Q::KIND,
            request: &wire.encode_to_vec(),
            catalogue_revision: revision,
            rules_revision: &snapshot.rules().revision,
            engine_version: ENGINE_VERSION,
        });
        let (pool, cache) = (&self.shared.pool, &self.shared.cache);
        if let Some(bytes) = cache.remembered(&key).await {
            debug!(kind = Q::KIND, "answered from memory");
            return Ok(bytes);
        }
        let admitted = pool.admit(wire.weight())?;
        let wire = Arc::new(wire);
        loop {
            let (kept, wire, snapshot) = (cache.clone(), Arc::clone(&wire), Arc::clone(&snapshot));
            let computing = pool.run(deadline, admitted.clone(), move |halt| {
                kept.on_disk_or(&key, || Ok(call(&wire, &snapshot, halt)?.encode_to_vec()))
            });
            match cache.once(key, computing).await {
                // Another caller computed it and was late; this one still has time. Ends with this caller's own deadline at the latest.
                Err(Refused::DeadlineExceeded) if Instant::now() < deadline => {}
                result => return result,
            }
        }
    }

    /// A call so short that it runs where it stands.
    async fn look_up<Q, A>(
        &self,
        request: Request<Q>,
        call: Call<Q, A>,
    ) -> Result<Response<A>, Status> {
        let deadline = self.deadline(&request);
        let snapshot = self.snapshot();
        answer(deadline, async { call(request.get_ref(), &snapshot) }).await
    }
}

/// The answer of a call, or its status once the deadline has passed.
async fn answer<A>(
    deadline: Instant,
    work: impl Future<Output = Result<A, Refused>>,
) -> Result<Response<A>, Status> {
    let done = timeout_at(deadline, work).await;
    let refused = match done.unwrap_or(Err(Refused::DeadlineExceeded)) {
        Ok(answer) => return Ok(Response::new(answer)),
        Err(refused) => refused,
    };
    match &refused {
        Refused::Internal(why) => error!(why, "a defect"),
        Refused::Overloaded | Refused::DeadlineExceeded => {
            warn!(reason = refused.reason(), "refused");
        }
        _ => debug!(
            reason = refused.reason(),
            faults = refused.faults().len(),
            "refused"
        ),
    }
    Err(status(&refused))
}

/// The duration in a `grpc-timeout` header: up to eight digits and a unit.
fn grpc_timeout(text: &str) -> Option<Duration> {
    let (digits, unit) = text.split_at_checked(text.len().checked_sub(1)?)?;
    if digits.is_empty() || digits.len() > 8 || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let count: u64 = digits.parse().ok()?;
    Some(match unit {
        "H" => Duration::from_secs(count * 3600),
        "M" => Duration::from_secs(count * 60),
        "S" => Duration::from_secs(count),
        "m" => Duration::from_millis(count),
        "u" => Duration::from_micros(count),
        "n" => Duration::from_nanos(count),
        _ => return None,
    })
}

#[tonic::async_trait]
impl EstimateService for Shell {
    async fn estimate(
        &self,
        request: Request<v1::EstimateRequest>,
    ) -> Result<Response<v1::EstimateResponse>, Status> {
        self.keep(request, calls::estimate).await
    }
}

#[tonic::async_trait]
impl TakeoffService for Shell {
    async fn take_off(
        &self,
        request: Request<v1::TakeOffRequest>,
    ) -> Result<Response<v1::TakeOffResponse>, Status> {
        self.keep(request, calls::take_off).await
    }
}

#[tonic::async_trait]
impl ThermalService for Shell {
    async fn assess(
        &self,
        request: Request<v1::AssessRequest>,
    ) -> Result<Response<v1::AssessResponse>, Status> {
        self.keep(request, calls::assess).await
    }
}

#[tonic::async_trait]
impl FixingService for Shell {
    async fn design(
        &self,
        request: Request<v1::DesignRequest>,
    ) -> Result<Response<v1::DesignResponse>, Status> {
        self.keep(request, calls::design).await
    }
}

#[tonic::async_trait]
impl PhysicsService for Shell {
    async fn wall(
        &self,
        request: Request<v1::WallRequest>,
    ) -> Result<Response<v1::WallResponse>, Status> {
        self.keep(request, |q, s, _| calls::wall(q, s)).await
    }

    async fn list_details(
        &self,
        request: Request<v1::ListDetailsRequest>,
    ) -> Result<Response<v1::ListDetailsResponse>, Status> {
        self.look_up(request, calls::list_details).await
    }

    async fn bridge(
        &self,
        request: Request<v1::BridgeRequest>,
    ) -> Result<Response<v1::BridgeResponse>, Status> {
        self.keep(request, calls::bridge).await
    }

    async fn dynamics(
        &self,
        request: Request<v1::DynamicsRequest>,
    ) -> Result<Response<v1::DynamicsResponse>, Status> {
        self.keep(request, |q, s, _| calls::dynamics(q, s)).await
    }

    async fn economy(
        &self,
        request: Request<v1::EconomyRequest>,
    ) -> Result<Response<v1::EconomyResponse>, Status> {
        self.keep(request, |q, s, _| calls::economy(q, s)).await
    }

    async fn saving(
        &self,
        request: Request<v1::SavingRequest>,
    ) -> Result<Response<v1::SavingResponse>, Status> {
        self.keep(request, |q, s, _| calls::saving(q, s)).await
    }

    async fn drying(
        &self,
        request: Request<v1::DryingRequest>,
    ) -> Result<Response<v1::DryingResponse>, Status> {
        self.keep(request, calls::drying).await
    }
}

#[tonic::async_trait]
impl CatalogueService for Shell {
    async fn list_articles(
        &self,
        request: Request<v1::ListArticlesRequest>,
    ) -> Result<Response<v1::ListArticlesResponse>, Status> {
        self.look_up(request, calls::list_articles).await
    }

    async fn list_systems(
        &self,
        request: Request<v1::ListSystemsRequest>,
    ) -> Result<Response<v1::ListSystemsResponse>, Status> {
        self.look_up(request, calls::list_systems).await
    }

    async fn get_article(
        &self,
        request: Request<v1::GetArticleRequest>,
    ) -> Result<Response<v1::GetArticleResponse>, Status> {
        self.look_up(request, calls::get_article).await
    }

    async fn check(
        &self,
        request: Request<v1::CheckRequest>,
    ) -> Result<Response<v1::CheckResponse>, Status> {
        let deadline = self.deadline(&request);
        let wire = request.into_inner();
        let snapshot = self.snapshot();
        let pool = &self.shared.pool;
        answer(deadline, async {
            let admitted = pool.admit(2)?;
            pool.run(deadline, admitted, move |_| calls::check(&wire, &snapshot))
                .await
        })
        .await
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_weighs_by_openings_and_by_the_search_it_is_granted() {
        let of = |opening_count: u32, search_budget_steps: u64, rule_costs: bool| {
            let short = v1::ShortForm {
                opening_count,
                ..v1::ShortForm::default()
            };
            let include = v1::Include {
                rule_costs,
                ..v1::Include::default()
            };
            let request = v1::EstimateRequest {
                survey: Some(v1::estimate_request::Survey::Short(short)),
                search_budget_steps,
                include: Some(include),
                ..v1::EstimateRequest::default()
            };
            request.weight()
        };
        assert_eq!(of(3, 0, false), 1);
        assert_eq!(of(60, 0, false), 4);
        assert_eq!(of(60, 60_000, false), 80);
        assert_eq!(of(60, 0, true), 36);
        assert_eq!(of(u32::MAX, u64::MAX, true), u32::MAX);
    }

    #[test]
    fn timeouts_read_as_the_protocol_writes_them() {
        assert_eq!(grpc_timeout("250m"), Some(Duration::from_millis(250)));
        assert_eq!(grpc_timeout("1H"), Some(Duration::from_secs(3600)));
        for bad in ["", "m", "123456789S", "-1S", "1x", "é"] {
            assert_eq!(grpc_timeout(bad), None, "{bad}");
        }
    }
}
