//! `data/settled.json`: settled shapes by posture, each with the hash of what it was settled from.
//!
//! Invariant: a shape whose text, body table or solver has changed is never taken from the file.

use std::collections::BTreeMap;
use std::fmt::{self, Write};

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::Library;
use super::posture::PostureBody;
use crate::body::{SOLVER_VERSION, Settled, Shape, TABLE_TEXT};

/// One settled shape and what it was settled from.
#[derive(Clone, Debug, Serialize, Deserialize)]
struct KeptShape {
    /// Hash of the shape, the body's table and the solver.
    key: String,
    /// The settled body.
    settled: Settled,
}

/// Settled shapes by posture.
#[derive(Clone, Debug)]
pub(super) struct Kept {
    shapes: BTreeMap<String, KeptShape>,
    /// The hash of the body's table and the solver, that every key begins with.
    table: Sha256,
}

impl Kept {
    /// Nothing is settled yet.
    pub(super) fn empty() -> Self {
        let mut table = Sha256::new();
        table.update(SOLVER_VERSION.to_le_bytes());
        for text in TABLE_TEXT {
            table.update(text.as_bytes());
        }
        Self {
            shapes: BTreeMap::new(),
            table,
        }
    }

    /// The settled body of a posture, when it was settled from this very shape.
    pub(super) fn get(&self, id: &str, key: &str) -> Option<Settled> {
        let kept = self.shapes.get(id)?;
        (kept.key == key).then(|| kept.settled.clone())
    }

    /// The key of a shape: all that was authored, the table and the solver.
    pub(super) fn key(&self, shape: &Shape) -> String {
        let mut hashed = Hashed(self.table.clone());
        write!(hashed, "{shape:?}").expect("a hash takes every text");
        hashed
            .0
            .finalize()
            .iter()
            .take(8)
            .map(|byte| format!("{byte:02x}"))
            .collect()
    }
}

/// Text that is hashed as it is written.
struct Hashed(Sha256);

impl Write for Hashed {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        self.0.update(text.as_bytes());
        Ok(())
    }
}

/// Reads a settled file. One that cannot be read is as good as none: everything is then settled
/// anew.
pub(super) fn read(bytes: &[u8]) -> Kept {
    Kept {
        shapes: serde_json::from_slice(bytes).unwrap_or_default(),
        ..Kept::empty()
    }
}

impl Library {
    /// The text of `data/settled.json` for this library: one posture a line.
    ///
    /// # Errors
    /// A number that JSON cannot hold.
    pub fn settled_json(&self) -> Result<String, serde_json::Error> {
        let mut lines = Vec::new();
        for posture in self.postures.values() {
            if let PostureBody::Shape { settled, key, .. } = &posture.body {
                let kept = KeptShape {
                    key: key.clone(),
                    settled: (**settled).clone(),
                };
                lines.push(format!(
                    "\"{}\":{}",
                    posture.id,
                    serde_json::to_string(&kept)?
                ));
            }
        }
        Ok(format!("{{\n{}\n}}\n", lines.join(",\n")))
    }
}
