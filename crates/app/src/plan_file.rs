//! Reading a plan file and the rack it names.

use std::fs;
use std::io::{self, Read};
use std::path::Path;

use rondure_plan::plan::Plan;

use crate::failure::Failure;

/// Largest file read as a plan or a rack, bytes; a plan is a page of text.
const LARGEST: u64 = 1 << 20;

/// The text of a file, or of the input where it is named `-`.
pub fn text(path: &Path) -> Result<String, Failure> {
    let read = if path == Path::new("-") {
        limited(io::stdin().lock())
    } else {
        fs::File::open(path).and_then(limited)
    };
    read.map_err(|error| Failure::unreadable(path, &error))
}

fn limited(from: impl Read) -> io::Result<String> {
    let mut bytes = Vec::new();
    from.take(LARGEST + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LARGEST {
        return Err(io::Error::other(
            "it is larger than a mebibyte, which no plan is",
        ));
    }
    String::from_utf8(bytes)
        .map_err(|_| io::Error::new(io::ErrorKind::InvalidData, "it is not text"))
}

/// The plan in a file. A rack file is looked for from where the plan stands.
pub fn plan(path: &Path) -> Result<Plan, Failure> {
    let text = text(path)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let load = |rack: &str| {
        fs::File::open(folder.join(rack))
            .and_then(limited)
            .map_err(|error| error.to_string())
    };
    Plan::read(&text, &path.display().to_string(), &load).map_err(Failure::Problems)
}
