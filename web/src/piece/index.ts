/** The viewer of a piece: plain TypeScript on three.js, no framework inside. */

export { UnreadableMesh } from "./glb";
export type { LegendEntry } from "./legend";
export { Piece, type PieceOptions, type Shown } from "./piece";
export type { Picked } from "./pointing";
export type { Holder, Line, Mark, MountedScene, PieceWords, ToolPath } from "./scene";
export type { Plane } from "./section";
export type { ColourBy } from "./solids";
export type { ThemeName } from "./theme";
export type { Point } from "./view";
