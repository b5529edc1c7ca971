//! Reading a plan file and the rack it names.

use std::fs;
use std::io::{self, Read};
use std::path::Path;

use rondure_plan::plan::Plan;

use crate::failure::{Failure, in_words};

/// Largest file read as a plan or a rack, bytes; a plan is a page of text.
pub const LARGEST: u64 = 1 << 20;
/// The path that stands for the standard input.
const INPUT: &str = "-";

/// What problems call the file.
pub fn name(path: &Path) -> String {
    if path == Path::new(INPUT) {
        "the input".to_owned()
    } else {
        path.display().to_string()
    }
}

/// The text of a file, or of the input where it is named `-`.
pub fn text(path: &Path) -> Result<String, Failure> {
    let read = if path == Path::new(INPUT) {
        limited(io::stdin().lock())
    } else {
        fs::File::open(path).and_then(limited)
    };
    read.map_err(|error| Failure::unreadable(path, &error))
}

/// The text that is read from, where it is text and of a plan's size.
pub fn limited(from: impl Read) -> io::Result<String> {
    let mut bytes = Vec::new();
    from.take(LARGEST + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LARGEST {
        return Err(io::Error::other(
            "it is larger than 1 MiB, which no plan or rack is",
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
            .map_err(|error| in_words(&error))
    };
    Plan::read(&text, &name(path), &load).map_err(Failure::Problems)
}
