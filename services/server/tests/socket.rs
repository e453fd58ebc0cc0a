//! The program over a real socket: the same bytes as the calls in this process, health that tells the truth, and an end in time.

use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use api::v1;
use api::v1::estimate_service_client::EstimateServiceClient;
use prost::Message;
use server::{Snapshot, ask_health, calls};
use tokio::runtime::{Builder, Runtime};
use tonic::Code;
use tonic::transport::{Channel, Endpoint};
use tonic_types::StatusExt as _;
use working::Halt;

/// A server of the test's own, on a free port of this machine.
struct Running {
    child: Child,
    address: String,
}

impl Running {
    fn start(settings: &[(&str, &str)]) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_etics-server"));
        command
            .arg("serve")
            .env("ETICS_SERVER_LISTEN", "127.0.0.1:0")
            .env("ETICS_DRAIN_DELAY_MS", "50");
        command
            .envs(settings.iter().copied())
            .stderr(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let mut log = BufReader::new(child.stderr.take().unwrap()).lines();
        let line = log
            .by_ref()
            .map_while(Result::ok)
            .find(|l| l.contains("address="))
            .unwrap();
        let address = line
            .split("address=")
            .nth(1)
            .and_then(|a| a.split(' ').next())
            .unwrap()
            .to_owned();
        // The log is read on, so that the server never waits for it.
        std::thread::spawn(move || log.for_each(drop));
        Self { child, address }
    }

    async fn channel(&self) -> Channel {
        let endpoint = Endpoint::from_shared(format!("http://{}", self.address));
        endpoint.unwrap().connect().await.unwrap()
    }

    fn terminate(mut self) -> Duration {
        let begun = Instant::now();
        let told = Command::new("kill")
            .arg(self.child.id().to_string())
            .status()
            .unwrap();
        assert!(told.success());
        assert!(self.child.wait().unwrap().success());
        begun.elapsed()
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn runtime() -> Runtime {
    Builder::new_current_thread().enable_all().build().unwrap()
}

fn asked() -> v1::EstimateRequest {
    let short = v1::ShortForm {
        length_mm: 8000,
        height_mm: 5600,
        opening_count: 3,
        opening_width_mm: 1200,
        opening_height_mm: 1300,
    };
    v1::EstimateRequest {
        reference: "socket".to_owned(),
        survey: Some(v1::estimate_request::Survey::Short(short)),
        system: "eps-white".to_owned(),
        thickness: Some(v1::Thickness {
            choice: Some(v1::thickness::Choice::BoardThicknessMm(140)),
        }),
        include: Some(v1::Include {
            setting_out: true,
            working: true,
            drawings: true,
            rule_costs: false,
        }),
        ..v1::EstimateRequest::default()
    }
}

#[test]
fn the_socket_gives_the_bytes_of_the_plain_call() {
    let running = Running::start(&[]);
    let here = calls::estimate(&asked(), &Snapshot::embedded(), Halt::NEVER)
        .unwrap()
        .encode_to_vec();
    let there = runtime().block_on(async {
        let channel = running.channel().await;
        let mut client = EstimateServiceClient::new(channel).max_decoding_message_size(64 << 20);
        let first = client
            .estimate(asked())
            .await
            .unwrap()
            .into_inner()
            .encode_to_vec();
        let second = client
            .estimate(asked())
            .await
            .unwrap()
            .into_inner()
            .encode_to_vec();
        assert_eq!(first, second);
        first
    });
    assert!(
        here == there,
        "{} bytes here, {} there",
        here.len(),
        there.len()
    );
}

/// What a client is told of a request that is refused.
fn refused(running: &Running, request: v1::EstimateRequest) -> tonic::Status {
    runtime().block_on(async {
        let channel = running.channel().await;
        let mut client = EstimateServiceClient::new(channel);
        client.estimate(request).await.unwrap_err()
    })
}

#[test]
fn a_bad_request_carries_every_fault_and_a_reason() {
    let running = Running::start(&[]);
    let mut bad = asked();
    bad.system.clear();
    bad.tax_share = "much".to_owned();
    bad.thickness = None;
    let status = refused(&running, bad);
    assert_eq!(status.code(), Code::InvalidArgument);
    let details = status.get_error_details();
    assert_eq!(
        details.error_info().map(|i| i.reason.as_str()),
        Some("BAD_REQUEST")
    );
    let told: Vec<_> = details
        .bad_request()
        .unwrap()
        .field_violations
        .iter()
        .map(|v| v.field.as_str())
        .collect();
    for field in ["system", "tax_share", "thickness"] {
        assert!(told.contains(&field), "{told:?}");
    }
}

#[test]
fn a_key_that_lacks_its_kind_is_offered_every_kind_of_it() {
    let snapshot = Snapshot::embedded();
    let wire = v1::GetArticleRequest {
        key: "eps-white".to_owned(),
        ..v1::GetArticleRequest::default()
    };
    let refused = calls::get_article(&wire, &snapshot).unwrap_err();
    let told = &refused.faults()[0].expected;
    for key in ["board.eps-white", "plug.eps-white", "system.eps-white"] {
        assert!(told.contains(key), "{told}");
    }
}

/// Clients take 8 KiB of trailers unless they are told otherwise, counted as RFC 9113 counts a list of fields: names, values, and 32 bytes each.
#[test]
fn faults_with_long_names_fit_what_a_client_takes() {
    let running = Running::start(&[]);
    // Letters outside ASCII take most room in a message, those of three bytes each in details.
    for letters in [
        "\u{e9}".repeat(100),
        "\u{0bb}".repeat(100),
        "x".repeat(200),
        "\u{6f22}".repeat(66),
    ] {
        let beyond = |side: &str| v1::Edge {
            kind: v1::EdgeKind::SalientCorner.into(),
            with: [side, &letters]
                .concat()
                .chars()
                .take(letters.chars().count())
                .collect(),
            joint_gap_mm: 0,
        };
        let facades = (0..60).map(|i| v1::Facade {
            id: [&i.to_string(), letters.as_str()].concat(),
            left: Some(beyond("l")),
            right: Some(beyond("r")),
            ..v1::Facade::default()
        });
        let building = v1::Building {
            facades: facades.collect(),
            ..v1::Building::default()
        };
        let bad = v1::EstimateRequest {
            survey: Some(v1::estimate_request::Survey::Building(building)),
            ..asked()
        };
        let status = refused(&running, bad);
        assert_eq!(status.code(), Code::InvalidArgument, "{status:?}");
        let details = status.get_error_details();
        let told = &details.bad_request().unwrap().field_violations;
        assert!(told.len() > 3, "{} faults", told.len());
        let last = told.last().unwrap();
        assert_eq!(last.reason, "TOO_MANY_FAULTS");
        let fields = status.into_http::<()>();
        let bytes: usize = fields
            .headers()
            .iter()
            .map(|(name, value)| name.as_str().len() + value.len() + 32)
            .sum();
        assert!(bytes <= 8 << 10, "{bytes} bytes");
    }
}

/// A request that would keep a thread busy for minutes: the longest search, and one more for each rule.
fn endless() -> v1::EstimateRequest {
    let mut request = asked();
    request.search_budget_steps = 60_000;
    request.include = Some(v1::Include {
        rule_costs: true,
        ..v1::Include::default()
    });
    request
}

#[test]
fn work_that_nobody_waits_for_any_more_makes_room() {
    let running = Running::start(&[("ETICS_LIMITS_CPU_THREADS", "1")]);
    runtime().block_on(async {
        let mut client =
            EstimateServiceClient::new(running.channel().await).max_decoding_message_size(64 << 20);
        // One call whose deadline passes, and one that is cancelled.
        let mut late = tonic::Request::new(endless());
        late.set_timeout(Duration::from_millis(300));
        // The client's own clock may be the quicker one, and calls it cancelled.
        let code = client.estimate(late).await.unwrap_err().code();
        let late = [Code::DeadlineExceeded, Code::Cancelled];
        assert!(late.contains(&code), "{code:?}");
        let mut other = client.clone();
        let cancelled = other.estimate(v1::EstimateRequest {
            reference: "cancelled".to_owned(),
            ..endless()
        });
        let gone = tokio::time::timeout(Duration::from_millis(300), cancelled).await;
        assert!(gone.is_err());
        // The only thread is free again long before either could have ended.
        let mut small = tonic::Request::new(asked());
        small.set_timeout(Duration::from_secs(20));
        client.estimate(small).await.unwrap();
    });
}

#[test]
fn an_answer_that_is_too_large_says_what_to_leave_out() {
    let running = Running::start(&[("ETICS_LIMITS_MESSAGE_BYTES", "100000")]);
    let status = refused(&running, asked());
    assert_eq!(status.code(), Code::ResourceExhausted);
    let reason = status
        .get_error_details()
        .error_info()
        .map(|i| i.reason.clone());
    assert_eq!(reason.as_deref(), Some("MESSAGE_TOO_LARGE"));
    for word in ["the answer has", "0.1 MiB", "include.drawings"] {
        assert!(status.message().contains(word), "{}", status.message());
    }
}

#[test]
fn health_is_told_and_the_end_comes_in_time() {
    let running = Running::start(&[("ETICS_DRAIN_TIMEOUT_MS", "1000")]);
    ask_health(&running.address).unwrap();
    let address = running.address.clone();
    let silent = std::net::TcpStream::connect(&address).unwrap();
    assert!(running.terminate() < Duration::from_secs(8));
    drop(silent);
    assert!(ask_health(&address).is_err());
}
