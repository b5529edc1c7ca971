//! The page's files, inside the binary.
//!
//! `build.rs` has Node build `web/` into the build folder, and lists what came out here
//! with its content type and a fingerprint. Nothing else is done: routes and headers are
//! the server's. Where the feature `web` is off, or documentation is built for publishing,
//! there are no files, which [`find`] says by finding none.
//!
//! `RONDURE_WEB_DIST` names a folder that was built before; then Node is not needed.

/// One file of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct File {
    /// Its path below the page's root, with `/` between folders and none in front.
    pub path: &'static str,
    /// Its content type, as a header has it.
    pub content_type: &'static str,
    /// A fingerprint of its bytes, 16 hexadecimal digits.
    pub fingerprint: &'static str,
    /// Whether its name changes with its content, so that it may be kept for ever.
    pub named_by_content: bool,
    /// What is in it.
    pub bytes: &'static [u8],
}

include!(concat!(env!("OUT_DIR"), "/files.rs"));

/// The file at a path; the empty path is the page itself.
pub fn find(path: &str) -> Option<&'static File> {
    let path = if path.is_empty() { "index.html" } else { path };
    FILES
        .binary_search_by(|file| file.path.cmp(path))
        .ok()
        .map(|index| &FILES[index])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_are_found_by_their_path_alone() {
        assert!(FILES.windows(2).all(|two| two[0].path < two[1].path));
        for file in FILES {
            assert_eq!(find(file.path), Some(file));
            assert_eq!(file.fingerprint.len(), 16);
            assert!(!file.path.starts_with('/') && !file.path.contains('\\'));
        }
        assert_eq!(find(""), find("index.html"));
        assert_eq!(
            find(""),
            FILES.iter().find(|file| file.path == "index.html")
        );
        assert_eq!(find("../Cargo.toml"), None);
    }
}
