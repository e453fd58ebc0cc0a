//! server.
