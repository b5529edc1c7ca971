//! Orders of magnitude by closed forms, and the answer's own consistency.
