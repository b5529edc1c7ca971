// How the piece is looked at: coloured, cut open, compared, pointed at, touched.
import * as api from "../io/api";
import { findingKey, pieceOf } from "../logic/findings";
import type { Finding } from "../io/wire";
import { currentLook, pieceShown } from "./look";
import { page, type Colour, type CutOpen } from "./page.svelte";
import { goTo, showSetup } from "./place";
import { reshow } from "./show";
import { tried } from "./trouble";

export function showPiece(piece: string | null): void {
  page.piece = piece;
  page.touched = [];
  if (page.route.setup !== null) goTo({ setup: null });
  else reshow();
}

export function setColour(colour: Colour): void {
  page.colour = colour;
  if (colour === "thickness") reshow();
}

export function setCut(cut: Partial<CutOpen>): void {
  page.cut = { ...page.cut, ...cut };
}

export function setCompare(share: number): void {
  page.compare = share;
}

/** Shows a finding's place: its set-up, its piece, and the place itself. */
export function pointAt(finding: Finding): void {
  const report = page.worked?.report;
  if (!report) return;
  page.pointed = findingKey(finding);
  const piece = pieceOf(finding, report);
  if (finding.setup === null) {
    if (page.route.setup !== null || (piece && piece !== pieceShown())) showPiece(piece ?? null);
  } else if (page.route.setup !== finding.setup) {
    showSetup(finding.setup);
  }
}

let touching: ReturnType<typeof setTimeout> | undefined;
/** How long the pointer rests on a place before it is asked about, ms. */
const RESTS = 120;

/** Asks what is known of a place on the surface: at once when tapped, else after a rest. */
export function touch(at: number[] | null, tapped: boolean): void {
  clearTimeout(touching);
  const look = currentLook();
  if (at === null || page.surface === null) {
    page.touched = [];
    return;
  }
  const text = page.text;
  touching = setTimeout(
    () =>
      void tried(async () => {
        page.touched = (await api.probe(text, look, at)).shown;
      }),
    tapped ? 0 : RESTS,
  );
}

/** Shows the tool's path of one step alone, or of all again. */
export function showStep(step: string | null): void {
  page.step = step;
}
