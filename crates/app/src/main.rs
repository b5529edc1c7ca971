//! The `rondure` command.
fn main() {}
