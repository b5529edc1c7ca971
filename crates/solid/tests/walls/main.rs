//! Walls, necks, edges, sections and rays against closed forms.

mod edges;
mod necks;
mod pieces;
mod section;
mod thickness;
mod webs;
