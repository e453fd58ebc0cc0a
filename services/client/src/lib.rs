//! client.
