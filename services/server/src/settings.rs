//! Settings: a TOML file, and an environment variable for every key. The defaults serve a laptop.

use std::collections::BTreeSet;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::Duration;

use serde::{Deserialize, Serialize};

/// All settings. A key that nobody reads is a fault.
///
/// ```
/// use server::Settings;
/// let settings = Settings::read("[limits]\nmessage_bytes = 1048576\n", |name| (name == "ETICS_LOG_FORMAT").then(|| "json".into())).unwrap();
/// assert_eq!(settings.limits.message_bytes, 1 << 20);
/// assert!(Settings::read("[limits]\nmesage_bytes = 1\n", |_| None).is_err());
/// ```
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Settings {
    /// The socket.
    pub server: Server,
    /// What is refused before it costs anything.
    pub limits: Limits,
    /// How the server goes down.
    pub drain: Drain,
    /// Where catalogues come from.
    pub catalogues: Folder,
    /// The result cache.
    pub cache: Cache,
    /// gRPC-Web for browsers.
    pub web: Web,
    /// The log.
    pub log: Log,
}

/// The socket.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Server {
    /// Address and port to listen on; port 0 takes a free one and logs it.
    pub listen: String,
    /// Whether answers are compressed for clients that accept it.
    pub gzip_answers: bool,
}

impl Default for Server {
    fn default() -> Self {
        Self {
            listen: "127.0.0.1:7840".to_owned(),
            gzip_answers: false,
        }
    }
}

/// What is refused before it costs anything.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Limits {
    /// Largest message in and out.
    pub message_bytes: usize,
    /// Work taken on at a time, running and waiting: a small house weighs 1, a block of flats with 64 openings about 4, and as many times
    /// of that as the search is granted the usual steps.
    pub work_units: u32,
    /// Threads that compute; 0 for one a core.
    pub cpu_threads: usize,
    /// Deadline of a call that names none.
    pub default_timeout_seconds: u64,
    /// Longest deadline that is granted.
    pub timeout_max_seconds: u64,
    /// Connections open at a time; further ones wait.
    pub connections: usize,
    /// Calls open at a time on one connection.
    pub concurrent_streams: u32,
    /// Largest header list of a call.
    pub header_list_bytes: u32,
    /// Streams that a client may reset before they are answered, until its connection is closed.
    pub pending_reset_streams: usize,
    /// How long a client may stay silent before it is asked whether it is there.
    pub keepalive_seconds: u64,
    /// How long it may take to answer that.
    pub keepalive_timeout_seconds: u64,
    /// How long a new connection may take until its first byte.
    pub first_byte_seconds: u64,
    /// Age at which a connection is asked to open anew, so that load spreads over replicas.
    pub connection_age_seconds: u64,
    /// How long its open calls may still run then.
    pub connection_grace_seconds: u64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            message_bytes: 4 << 20,
            work_units: 1024,
            cpu_threads: 0,
            default_timeout_seconds: 30,
            timeout_max_seconds: 300,
            connections: 1024,
            concurrent_streams: 256,
            header_list_bytes: 16 << 10,
            pending_reset_streams: 32,
            keepalive_seconds: 30,
            keepalive_timeout_seconds: 10,
            first_byte_seconds: 10,
            connection_age_seconds: 1800,
            connection_grace_seconds: 60,
        }
    }
}

/// How the server goes down.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Drain {
    /// How long it still accepts calls after its health says that it does not serve, so that balancers notice.
    pub delay_ms: u64,
    /// How long open calls may still run; then they are dropped.
    pub timeout_ms: u64,
}

impl Default for Drain {
    fn default() -> Self {
        Self {
            delay_ms: 2000,
            timeout_ms: 15_000,
        }
    }
}

/// Where catalogues come from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Folder {
    /// Root folder; what it does not have comes from the catalogues that the program was built with. Empty for these alone.
    pub folder: String,
    /// How often the folder is looked at for changes; 0 for only on SIGHUP.
    pub poll_seconds: u64,
}

impl Default for Folder {
    fn default() -> Self {
        Self {
            folder: String::new(),
            poll_seconds: 30,
        }
    }
}

/// The result cache. Losing it costs time and nothing else.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Cache {
    /// Folder of the disk layer; empty for none.
    pub folder: String,
    /// Most bytes of results in memory; 0 for no cache in memory.
    pub ram_bytes: u64,
    /// Most bytes on disk, about.
    pub disk_bytes: u64,
}

impl Default for Cache {
    fn default() -> Self {
        Self {
            folder: String::new(),
            ram_bytes: 64 << 20,
            disk_bytes: 512 << 20,
        }
    }
}

/// gRPC-Web for browsers.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Web {
    /// Whether gRPC-Web is answered beside gRPC.
    pub enabled: bool,
    /// Origins that browsers may call from, such as `https://shop.example`. There is no wildcard.
    pub origins: Vec<String>,
}

/// The log.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Log {
    /// `compact` for people, `json` for machines.
    pub format: LogFormat,
    /// What is logged, such as `info` or `warn,server=debug`.
    pub filter: String,
}

impl Default for Log {
    fn default() -> Self {
        Self {
            format: LogFormat::Compact,
            filter: "info,sled=warn".to_owned(),
        }
    }
}

/// How the log is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum LogFormat {
    /// A line a record.
    Compact,
    /// A JSON object a record.
    Json,
}

impl Settings {
    /// Settings from the text of a file, with the environment laid over: `ETICS_LIMITS_MESSAGE_BYTES` is `[limits] message_bytes`.
    /// `variable` gives the value of an environment variable. Only names of known keys are asked for.
    ///
    /// # Errors
    /// A text for people: a syntax or type fault with its line, or every value out of range.
    pub fn read(text: &str, variable: impl Fn(&str) -> Option<String>) -> Result<Self, String> {
        let file: Self = toml::from_str(text).map_err(|e| e.to_string())?;
        let mut table = toml::Table::try_from(&file).map_err(|e| e.to_string())?;
        for (section, keys) in &mut table {
            let toml::Value::Table(keys) = keys else {
                continue;
            };
            for (key, value) in keys.iter_mut() {
                let name = format!("ETICS_{section}_{key}").to_uppercase();
                if let Some(told) = variable(&name) {
                    *value = like(value, &told).map_err(|expected| {
                        format!("{name}: found `{told}`, expected {expected}")
                    })?;
                }
            }
        }
        let settings: Self = table
            .try_into()
            .map_err(|e: toml::de::Error| e.to_string())?;
        let faults = settings.faults();
        if faults.is_empty() {
            Ok(settings)
        } else {
            Err(faults.join("\n"))
        }
    }

    /// Every setting as TOML.
    ///
    /// # Errors
    /// Never for settings that were read.
    pub fn to_toml(&self) -> Result<String, String> {
        toml::to_string(self).map_err(|e| e.to_string())
    }

    /// The address to listen on.
    ///
    /// # Errors
    /// The text is no address with a port.
    pub fn address(&self) -> Result<SocketAddr, String> {
        let listen = &self.server.listen;
        listen.parse().map_err(|_| {
            format!("server.listen: found `{listen}`, expected an address with a port, such as `0.0.0.0:7840`")
        })
    }

    /// The folder of catalogues, where one is named.
    pub fn catalogue_folder(&self) -> Option<PathBuf> {
        let folder = &self.catalogues.folder;
        (!folder.is_empty()).then(|| PathBuf::from(folder))
    }

    fn faults(&self) -> Vec<String> {
        let mut faults: Vec<String> = self.address().err().into_iter().collect();
        let mut within = |key: &str, value: u64, least: u64, most: u64| {
            if !(least..=most).contains(&value) {
                faults.push(format!("{key}: found {value}, expected {least} to {most}"));
            }
        };
        let limits = &self.limits;
        within(
            "limits.message_bytes",
            limits.message_bytes as u64,
            1 << 10,
            64 << 20,
        );
        within(
            "limits.work_units",
            u64::from(limits.work_units),
            1,
            1 << 20,
        );
        within("limits.cpu_threads", limits.cpu_threads as u64, 0, 512);
        within(
            "limits.default_timeout_seconds",
            limits.default_timeout_seconds,
            1,
            3600,
        );
        within(
            "limits.timeout_max_seconds",
            limits.timeout_max_seconds,
            limits.default_timeout_seconds,
            3600,
        );
        within("limits.connections", limits.connections as u64, 1, 1 << 20);
        within(
            "limits.concurrent_streams",
            u64::from(limits.concurrent_streams),
            1,
            1 << 16,
        );
        within(
            "limits.header_list_bytes",
            u64::from(limits.header_list_bytes),
            1 << 10,
            1 << 20,
        );
        within(
            "limits.keepalive_seconds",
            limits.keepalive_seconds,
            1,
            3600,
        );
        within(
            "limits.keepalive_timeout_seconds",
            limits.keepalive_timeout_seconds,
            1,
            600,
        );
        within(
            "limits.first_byte_seconds",
            limits.first_byte_seconds,
            1,
            600,
        );
        within(
            "limits.connection_age_seconds",
            limits.connection_age_seconds,
            1,
            86_400,
        );
        within("drain.delay_ms", self.drain.delay_ms, 0, 600_000);
        within("drain.timeout_ms", self.drain.timeout_ms, 1, 600_000);
        within("cache.disk_bytes", self.cache.disk_bytes, 1 << 20, 1 << 40);
        let mut origins = BTreeSet::new();
        for (i, origin) in self.web.origins.iter().enumerate() {
            let whole = origin
                .strip_prefix("https://")
                .or_else(|| origin.strip_prefix("http://"));
            let plain =
                whole.is_some_and(|host| !host.is_empty() && !host.contains(['/', '*', ' ']));
            if !plain || !origins.insert(origin) {
                faults.push(format!("web.origins[{i}]: found `{origin}`, expected an origin of its own such as `https://shop.example`"));
            }
        }
        faults
    }
}

/// The text as a value of the same type.
fn like(value: &toml::Value, told: &str) -> Result<toml::Value, &'static str> {
    match value {
        toml::Value::Integer(_) => told
            .parse()
            .map(toml::Value::Integer)
            .map_err(|_| "a whole number"),
        toml::Value::Boolean(_) => told
            .parse()
            .map(toml::Value::Boolean)
            .map_err(|_| "`true` or `false`"),
        toml::Value::Array(_) => {
            let parts = told.split(',').map(str::trim).filter(|p| !p.is_empty());
            Ok(toml::Value::Array(
                parts.map(|p| toml::Value::String(p.to_owned())).collect(),
            ))
        }
        _ => Ok(toml::Value::String(told.to_owned())),
    }
}

/// A span of whole seconds.
pub(crate) const fn seconds(count: u64) -> Duration {
    Duration::from_secs(count)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_fault_is_told_at_once() {
        let text = "[server]\nlisten = \"nowhere\"\n[limits]\nmessage_bytes = 1\n[web]\norigins = [\"*\"]\n";
        let told = Settings::read(text, |_| None).unwrap_err();
        assert!(
            told.contains("server.listen")
                && told.contains("limits.message_bytes")
                && told.contains("web.origins[0]"),
            "{told}"
        );
    }

    #[test]
    fn a_syntax_fault_has_its_line() {
        let told = Settings::read("[server]\nlisten = 7\n", |_| None).unwrap_err();
        assert!(told.contains("line 2"), "{told}");
    }

    #[test]
    fn environment_wins_over_the_file_by_type() {
        let variable = |name: &str| match name {
            "ETICS_WEB_ORIGINS" => Some("https://a.example, https://b.example".to_owned()),
            "ETICS_LIMITS_WORK_UNITS" => Some("7".to_owned()),
            _ => None,
        };
        let settings = Settings::read("[limits]\nwork_units = 9\n", variable).unwrap();
        assert_eq!(settings.limits.work_units, 7);
        assert_eq!(settings.web.origins.len(), 2);
        let told = Settings::read("", |n| {
            (n == "ETICS_LIMITS_WORK_UNITS").then(|| "many".into())
        })
        .unwrap_err();
        assert!(told.contains("ETICS_LIMITS_WORK_UNITS"), "{told}");
    }
}
