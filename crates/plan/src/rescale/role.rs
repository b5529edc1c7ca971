//! What each number of a plan does when the size changes.

use serde::Serialize;
use ts_rs::TS;

use crate::field::{Field, FieldKind};

/// What a number does when the size changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// It shapes the piece and goes with the size, as finely as its tool is set.
    Scaling,
    /// It is one of the rack's: a bit, jaws, a centre. The best that is there is taken.
    Stepping,
    /// It stays: the hand, the hanger, the glue and the strength of wood know no scale.
    Held,
    /// It follows from the others: the stock and how it is held.
    Fitted,
}

/// The role of a plan's value; none where the size has no part in it (title, wood, words).
pub fn role(field: &Field) -> Option<Role> {
    let key = field.key.as_str();
    if key == "holding.jaws" || key == "holding.drive" || key == "holding.tail" {
        return field.written.is_some().then_some(Role::Stepping);
    }
    if !matches!(
        field.kind,
        FieldKind::Length | FieldKind::Count | FieldKind::Angle | FieldKind::Speed
    ) || key == "fractions"
        || field.value.is_none()
    {
        return None;
    }
    Some(match key {
        "bore.diameter" | "pierce.diameter" | "markers.diameter" => Role::Stepping,
        "blank.across" | "blank.length" | "holding.spigot" | "holding.neck" => Role::Fitted,
        "ball.diameter" | "cove.land" | "cove.depth" => Role::Scaling,
        _ if key.ends_with(".blank_across") => Role::Fitted,
        _ if key.ends_with(".tenon_length") || key.contains(".shape.") => Role::Scaling,
        _ => Role::Held,
    })
}

/// The numbers that the turner keeps as they are.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Keeps(Vec<String>);

impl Keeps {
    /// Keeps keys such as `cove.depth`, or whole sections such as `bore` or `finials.top`.
    pub fn new(keys: impl IntoIterator<Item = String>) -> Self {
        Self(keys.into_iter().collect())
    }

    /// Whether a key, or a section it stands in, is kept.
    pub fn holds(&self, key: &str) -> bool {
        self.0.iter().any(|kept| {
            key.strip_prefix(kept.as_str())
                .is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
        })
    }

    /// The first that is no number of the plan.
    pub fn unknown<'k>(&'k self, fields: &[Field]) -> Option<&'k str> {
        self.0.iter().map(String::as_str).find(|kept| {
            let one = Self(vec![(*kept).to_owned()]);
            *kept == "ball.diameter" || !fields.iter().any(|field| one.holds(&field.key))
        })
    }
}
