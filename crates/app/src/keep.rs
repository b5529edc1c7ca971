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
    over(path, write).map_err(|source| Failure::Unwritten {
        path: path.to_owned(),
        source,
    })
}

/// As [`whole`], with what the system says.
pub fn over(
    path: &Path,
    write: impl FnOnce(&mut BufWriter<File>) -> io::Result<()>,
) -> io::Result<()> {
    let Some(name) = path.file_name() else {
        return Err(io::Error::new(
            io::ErrorKind::InvalidInput,
            "that names a folder, not a file",
        ));
    };
    // A device or a pipe would be replaced by the renaming.
    if fs::metadata(path).is_ok_and(|there| !there.is_file()) {
        return Err(io::Error::new(
            io::ErrorKind::InvalidInput,
            "that names a folder or a device, not a file",
        ));
    }
    let mut beside = name.to_owned();
    beside.push(format!(".{}{BESIDE}", std::process::id()));
    let beside = path.with_file_name(beside);
    let written = File::create(&beside).and_then(|file| {
        let mut to = BufWriter::new(file);
        write(&mut to)?;
        to.flush()?;
        to.get_ref().sync_all()?;
        fs::rename(&beside, path)
    });
    match &written {
        Ok(()) => lasting(path),
        // If even that fails there is nothing more to do about it.
        Err(_) => drop(fs::remove_file(&beside)),
    }
    written
}

/// The ending of a file that is not finished; one is left by a kill in the middle of writing.
pub const BESIDE: &str = ".part";

/// Makes a file's name last: the folder that holds it is written through, where systems let
/// a folder be opened. The file itself is safe without that.
pub fn lasting(path: &Path) {
    if cfg!(unix)
        && let Some(folder) = path.parent()
    {
        let folder = if folder.as_os_str().is_empty() {
            Path::new(".")
        } else {
            folder
        };
        // Some file systems refuse; the name then lasts when they see fit.
        let _ = File::open(folder).and_then(|folder| folder.sync_all());
    }
}
