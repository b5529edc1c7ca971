//! Filled in next.
