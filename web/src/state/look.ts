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

type Of = Pick<Look, "setup" | "piece">;

/** Whether two looks are at the same wood; one that leaves the piece to the server is. */
export function sameLook(a: Of, b: Of): boolean {
  return a.setup === b.setup && (a.piece === b.piece || a.piece === null || b.piece === null);
}

/** The set-up in which the pieces are put together. */
const ASSEMBLY = "assembly";

/** Whether the plan has pieces to put together. */
export const isAssembled = () => page.worked?.report.setups.some((setup) => setup.id === ASSEMBLY) ?? false;

/** The set-up that tells which pieces are put to the one shown; none where it shows alone. */
export function togetherIn(look: Look): string | null {
  if (look.setup !== null) return look.setup;
  return page.piece === null && isAssembled() ? ASSEMBLY : null;
}

/** The piece that shows; none while there is no picture. */
export function pieceShown(): string | null {
  return page.surface && (page.surface.piece ?? currentLook().piece);
}
