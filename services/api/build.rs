//! Compiles the wire contract without a `protoc`: protox reads the `.proto` files, tonic writes the messages and stubs.
//!
//! The descriptor set is written by hand for reflection, because a set that was compiled elsewhere is not written again.

use std::error::Error;
use std::fs;
use std::path::PathBuf;

use prost::Message as _;

const FILES: [&str; 9] = [
    "etics/v1/catalogue.proto",
    "etics/v1/common.proto",
    "etics/v1/estimate.proto",
    "etics/v1/facade.proto",
    "etics/v1/fixing.proto",
    "etics/v1/physics.proto",
    "etics/v1/takeoff.proto",
    "etics/v1/thermal.proto",
    "etics/v1/working.proto",
];

fn main() -> Result<(), Box<dyn Error>> {
    let root = PathBuf::from(std::env::var("CARGO_MANIFEST_DIR")?).join("../../proto");
    println!("cargo:rerun-if-changed={}", root.display());
    let set = protox::compile(FILES, [&root])?;
    let out = PathBuf::from(std::env::var("OUT_DIR")?);
    fs::write(out.join("etics_v1.binpb"), set.encode_to_vec())?;
    tonic_prost_build::configure().compile_fds(set)?;
    Ok(())
}
