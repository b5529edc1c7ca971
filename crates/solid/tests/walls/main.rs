//! Walls, necks, sections and rays against closed forms.

mod necks;
mod pieces;
mod section;
mod webs;
