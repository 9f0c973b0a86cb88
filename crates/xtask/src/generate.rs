//! From `proto/` to `crates/wire/src/generated`: messages, stubs and the descriptor set that reflection serves.
//!
//! The result is committed, so that a build needs no compiler of protos and a review shows what changed on the wire.

use std::fs;
use std::path::{Path, PathBuf};

use protox::prost_reflect::prost::Message as _;

use crate::shell::{Done, root};

/// The name of the descriptor set beside the generated code.
const DESCRIPTORS: &str = "descriptors.binpb";

/// Writes the generated code, or with `check` says whether the committed code is fresh.
pub fn run(check: bool) -> Done {
    let committed = root().join("crates/wire/src/generated");
    if !check {
        return generate(&committed);
    }
    let fresh = root().join("target/generated-check");
    generate(&fresh)?;
    for entry in fs::read_dir(&fresh)? {
        let name = entry?.file_name();
        if fs::read(fresh.join(&name))? != fs::read(committed.join(&name)).unwrap_or_default() {
            return Err(format!(
                "crates/wire/src/generated/{} is not what proto/ says; run `cargo xtask gen`",
                name.to_string_lossy()
            )
            .into());
        }
    }
    Ok(())
}

fn generate(into: &Path) -> Done {
    fs::create_dir_all(into)?;
    let proto = root().join("proto");
    let mut files: Vec<PathBuf> = fs::read_dir(proto.join("hod/v1"))?
        .map(|entry| entry.map(|e| e.path()))
        .collect::<Result<_, _>>()?;
    files.sort();
    let descriptors = protox::compile(&files, [&proto])?;
    fs::write(into.join(DESCRIPTORS), descriptors.encode_to_vec())?;
    tonic_prost_build::configure()
        .out_dir(into)
        .compile_fds(descriptors)?;
    Ok(())
}
