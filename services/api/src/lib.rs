//! The wire: messages and stubs of package `etics.v1`, generated from `proto/`, and their descriptor set.
//!
//! Nothing of ours is in here, so that a client needs no more than this crate. What a field means is told in the `.proto` files.

/// Package `etics.v1`.
#[allow(missing_docs, unused_qualifications, clippy::pedantic, clippy::all)] // generated
pub mod v1 {
    tonic::include_proto!("etics.v1");
}

/// The encoded `FileDescriptorSet` of the package, for reflection and for reading survey files by field name.
pub const DESCRIPTORS: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/etics_v1.binpb"));
