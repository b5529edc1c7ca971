//! The name of a plan on the shelf: one that is a file's name everywhere and leads nowhere else.

use std::fmt;

use super::super::answer::Refused;

/// Longest name, bytes; with endings it stays below what file systems take.
const LONGEST: usize = 80;
/// Signs that some file system gives a meaning to.
const FORBIDDEN: &[char] = &['/', '\\', ':', '*', '?', '"', '<', '>', '|'];
/// Names that stand for devices on some systems, with any ending.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];

/// A plan's name: its file's name without `.toml`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Name(String);

impl Name {
    /// The name, where it may be one.
    ///
    /// # Errors
    /// With what is allowed.
    pub fn new(name: &str) -> Result<Self, Refused> {
        match fault(name) {
            None => Ok(Self(name.to_owned())),
            Some(fault) => Err(Refused::bad(format!(
                "A plan cannot be called {name:?}: {fault}. Allowed is one line of up to {LONGEST} bytes that begins with no dot, ends with no dot or space, and has none of / \\ : * ? \" < > | in it."
            ))),
        }
    }

    /// A name made from a title: what may not stand in a name is replaced.
    pub fn from_title(title: &str) -> Self {
        let mut name: String = title
            .chars()
            .map(|sign| match sign {
                '"' => '″',
                sign if FORBIDDEN.contains(&sign) => '-',
                sign if sign.is_control() => ' ',
                sign => sign,
            })
            .collect();
        // Room is left for a number behind it.
        while name.len() > LONGEST - 8 {
            name.pop();
        }
        let name = name
            .trim_start_matches(['.', ' '])
            .trim_end_matches(['.', ' ']);
        match fault(name) {
            None => Self(name.to_owned()),
            Some(_) => Self("plan".to_owned()),
        }
    }

    /// The name with a number behind it; none where that is too long.
    pub fn numbered(&self, number: usize) -> Option<Self> {
        let name = format!("{} {number}", self.0);
        fault(&name).is_none().then_some(Self(name))
    }

    /// The name.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Name {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.0)
    }
}

fn fault(name: &str) -> Option<&'static str> {
    let stem = name.split('.').next().unwrap_or_default();
    let is_device = DEVICES
        .iter()
        .any(|device| stem.eq_ignore_ascii_case(device))
        || (stem.len() == 4
            && ["com", "lpt"].iter().any(|port| {
                stem.get(..3)
                    .is_some_and(|start| start.eq_ignore_ascii_case(port))
                    && stem.ends_with(|sign: char| sign.is_ascii_digit())
            }));
    if name.is_empty() {
        Some("that is no name")
    } else if name.len() > LONGEST {
        Some("it is too long")
    } else if name.starts_with('.') {
        Some("it begins with a dot")
    } else if name.starts_with(' ') || name.ends_with(['.', ' ']) {
        Some("it begins or ends with a space or a dot")
    } else if name.contains(char::is_control) {
        Some("it is not one line of plain text")
    } else if name.contains(FORBIDDEN) {
        Some("it has a sign in it that leads out of the folder or means something to a system")
    } else if is_device {
        Some("some systems keep that name for a device")
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_lead_nowhere_else() {
        let long = "x".repeat(81);
        for bad in [
            "", ".", "..", ".hidden", "../up", "a/b", "a\\b", "c:x", "a\nb", "a\0b", "a ", "a.",
            " a", "NUL", "com1.x", "a?", &long,
        ] {
            assert!(Name::new(bad).is_err(), "{bad:?}");
        }
        for good in ["lavender-ball-60", "Kugel für Ærø 2", "a.b", "comb", "€½″"] {
            assert_eq!(Name::new(good).unwrap().as_str(), good);
        }
    }

    #[test]
    fn titles_become_names() {
        assert_eq!(Name::from_title("Ball, 2 3/8\"").as_str(), "Ball, 2 3-8″");
        assert_eq!(Name::from_title("../../etc").as_str(), "-..-etc");
        assert_eq!(Name::from_title(" .. ").as_str(), "plan");
        assert!(Name::new(Name::from_title(&"ä".repeat(99)).as_str()).is_ok());
        assert!(Name::from_title(&"ä".repeat(99)).numbered(999).is_some());
    }
}
