//! Walls, necks, sections and rays against closed forms.

mod pieces;
mod section;
