// Which wood is to be shown.
import type { Look } from "../io/api";
import { page } from "./page.svelte";

/** The wood to show: a set-up's, or a finished piece. Before the plan is known the server
 * chooses the piece, which is the one that is chosen here once it is. */
export function currentLook(): Look {
  const report = page.worked?.report;
  if (!report) return { setup: page.route.setup, piece: null, moment: "after" };
  const setup = report.setups.find((each) => each.id === page.route.setup);
  if (setup) return { setup: setup.id, piece: setup.piece, moment: "after" };
  const piece = report.pieces.find((each) => each.id === page.piece)?.id ?? report.pieces[0]?.id ?? null;
  return { setup: null, piece, moment: "after" };
}

export function sameLook(a: Look, b: Look): boolean {
  return a.setup === b.setup && (a.piece === b.piece || a.piece === null || b.piece === null);
}

/** The piece that shows; none while there is no picture. */
export function pieceShown(): string | null {
  return page.surface && (page.surface.piece ?? currentLook().piece);
}
