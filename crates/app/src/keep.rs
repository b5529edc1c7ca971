//! Files kept whole: written beside their place, then renamed over it.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::Path;

use crate::failure::Failure;

/// Writes a file through `write`. Where that fails nothing is left behind, and an older file of
/// that name stays as it was.
pub fn whole(
    path: &Path,
    write: impl FnOnce(&mut BufWriter<File>) -> io::Result<()>,
) -> Result<(), Failure> {
    let unwritten = |source| Failure::Unwritten {
        path: path.to_owned(),
        source,
    };
    let Some(name) = path.file_name() else {
        return Err(unwritten(io::Error::new(
            io::ErrorKind::InvalidInput,
            "that names a folder, not a file",
        )));
    };
    // A device or a pipe would be replaced by the renaming.
    if fs::metadata(path).is_ok_and(|there| !there.is_file()) {
        return Err(unwritten(io::Error::new(
            io::ErrorKind::InvalidInput,
            "that names a folder or a device, not a file",
        )));
    }
    let mut beside = name.to_owned();
    beside.push(format!(".{}.part", std::process::id()));
    let beside = path.with_file_name(beside);
    let written = File::create(&beside).and_then(|file| {
        let mut to = BufWriter::new(file);
        write(&mut to)?;
        to.flush()?;
        to.get_ref().sync_all()?;
        fs::rename(&beside, path)
    });
    written.map_err(|error| {
        // If even that fails there is nothing more to do about it.
        let _ = fs::remove_file(&beside);
        unwritten(error)
    })
}
