//! Forms: how a plan becomes pieces, set-ups and steps.

pub mod coved_ball;
