//! api.
