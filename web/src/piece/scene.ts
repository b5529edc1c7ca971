/**
 * What the server says of a piece on the lathe, as far as it is drawn.
 *
 * Lengths in mm. Frames: the piece's own, z along its blank; and the lathe's, x along the
 * axis from headstock to tailstock, y up, z towards the turner.
 */

import type { Point } from "./view";

export interface MountedScene {
  readonly setup: string;
  /** Whether the piece turns on the lathe; not when it is in the hand. */
  readonly on_lathe?: boolean;
  /** Sixteen numbers in column order. */
  readonly lathe_from_piece: readonly number[];
  readonly holders: readonly Holder[];
  readonly marks: readonly Mark[];
  readonly lines: readonly Line[];
  readonly paths: readonly ToolPath[];
  /** The steps, in order. */
  readonly steps?: readonly { readonly id: string }[];
}

export interface Holder {
  readonly kind: string;
  readonly name: string;
  /** Closed profile of (x, r) in the lathe's frame. */
  readonly profile: readonly (readonly number[])[];
}

export interface Mark {
  readonly kind: string;
  readonly name: string;
  /** In the piece's frame. */
  readonly at: readonly number[];
  readonly out: readonly number[];
}

export interface Line {
  readonly kind: string;
  readonly name: string;
  /** The step that draws or uses it; none where it stands for the whole set-up. */
  readonly step?: string | null;
  /** In the piece's frame. */
  readonly points: readonly (readonly number[])[];
}

export interface ToolPath {
  readonly step: string;
  readonly tool: string | null;
  /** (x, r) in the lathe's frame, in the order they are cut. */
  readonly points: readonly (readonly number[])[];
}

/** The words of a page that the picture shows. */
export interface PieceWords {
  /** Which round numbers stand on a scale of lengths. */
  readonly units: "mm" | "in";
  /** A length with its unit, such as `2.6 mm`. */
  readonly length: (mm: number) => string;
  /** A number with its unit, such as `3.1 MPa`. */
  readonly value: (number: number, unit: string) => string;
}

/** A place in the picture with a word at it. */
export interface Label {
  readonly text: string;
  readonly kind: "flag" | "gap";
  /** In the piece's frame. */
  readonly at: Point;
  /** Where the surface faces; the label goes when that is away from the eye. */
  readonly out: Point | null;
  /** The place on the wood that it stands for; the label goes where that is cut away. */
  readonly foot: Point | null;
}
