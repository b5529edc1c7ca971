// Shows a plan's text: its surface, its findings, what belongs to a mounting, the strip.
import * as api from "../io/api";
import type { Scene, Worked } from "../io/wire";
import { underWay } from "./busy";
import { currentLook, sameLook, togetherIn } from "./look";
import { lastInput } from "./moment";
import { page } from "./page.svelte";
import { Pictures } from "./pictures";
import { CHORD, Pipeline, type Wish } from "./pipeline";
import { goTo } from "./place";
import { failed, gone, tried } from "./trouble";

let rest: () => void = () => undefined;

const pictures = new Pictures();

const pipeline = new Pipeline(
  {
    async mesh(wish, chord, signal) {
      const { look } = wish;
      const mesh = api.mesh(wish.text, wish.set, look, chord, wish.thickness, signal);
      // A set-up just gone to appears as it lies on the lathe, not upright first.
      const arriving = look.setup !== null && page.surface?.setup !== look.setup;
      return (await Promise.all([mesh, arriving && sceneOf(wish.text, look.setup ?? "", signal).catch(() => null)]))[0];
    },
    work,
  },
  {
    mesh(mesh, wish, fine) {
      const { setup, piece } = wish.look;
      const same = page.surface && sameLook(page.surface, wish.look) ? page.surface : null;
      return new Promise((drawn) => {
        page.surface = {
          piece,
          setup,
          mesh,
          before: same?.before ?? null,
          others: togetherIn(wish.look) ? (same?.others ?? []) : [],
          scene: lastScene?.text === wish.text && lastScene.scene.setup === setup ? lastScene.scene : (same?.scene ?? null),
          since: fine ? 0 : wish.since,
          drawn,
        };
        // Nothing is drawn in a hidden tab, nor by a browser that draws no solids.
        setTimeout(drawn, DRAWN_AT_LAST);
        if (fine) void complete(wish);
      });
    },
    worked(worked, wish) {
      page.worked = worked;
      page.workedText = wish.set ? null : wish.text;
      page.problems = [];
      if (page.route.setup !== null && !worked.report.setups.some((setup) => setup.id === page.route.setup)) {
        goTo({ setup: null });
      } else if (!sameLook(wish.look, currentLook())) {
        reshow();
      }
    },
    problems(problems) {
      page.problems = problems;
    },
    gone,
    failed,
    busy(busy) {
      rest();
      if (busy) {
        rest = underWay();
        pictures.wait();
      } else {
        const setups = page.worked?.report.setups ?? [];
        if (page.problems.length === 0 && page.connected) pictures.plan(page.text, setups.map((setup) => setup.id));
      }
    },
  },
);

/** When a picture counts as drawn though nobody said so, ms. */
const DRAWN_AT_LAST = 1000;

/** The last scene that came. */
let lastScene: { text: string; scene: Scene } | null = null;

async function sceneOf(text: string, setup: string, signal: AbortSignal): Promise<Scene> {
  if (lastScene?.text === text && lastScene.scene.setup === setup) return lastScene.scene;
  const scene = await api.scene(text, setup, signal);
  lastScene = { text, scene };
  return scene;
}

/** The last text worked out, so that another look at it asks for a surface only. */
let lastWork: { text: string; worked: Worked } | null = null;

async function work({ text, set }: Wish, quick: boolean, signal: AbortSignal): Promise<Worked> {
  const name = page.sheet?.name ?? "";
  if (set) return api.work(text, set, name, quick, signal);
  if (lastWork?.text === text && (quick || !lastWork.worked.mends_untried)) return lastWork.worked;
  const worked = await api.work(text, null, name, quick, signal);
  lastWork = { text, worked };
  return worked;
}

function wishOf(set: api.Value | null, dragging: boolean, since: number): Wish {
  return { text: page.text, set, look: currentLook(), thickness: page.colour === "thickness", dragging, since };
}

/** When the change under way was made, on the page's clock; 0 when there is none. */
let changedAt = 0;

/** A change begins now: its picture is measured from here. */
export function changing(): void {
  changedAt = lastInput();
}

/** Shows the plan's text as it stands. */
export function reshow(): void {
  if (page.sheet === null) return;
  pipeline.show(wishOf(null, false, changedAt));
  changedAt = 0;
}

/** Shows what a value would make while it is still being dragged; nothing is kept. */
export function tryValue(key: string, written: string): void {
  pipeline.show(wishOf({ key, written }, true, lastInput()));
}

/** Draws what a value makes that is on its way into the text. */
export function showAhead(key: string, written: string): void {
  pipeline.show(wishOf({ key, written }, false, changedAt));
}

/** Nothing asked so far is shown any more. */
export function stopShowing(): void {
  pipeline.stop();
  pictures.stop();
  completing?.abort();
}

let completing: AbortController | null = null;

/** Brings what belongs to the wood shown: the lathe's parts and the wood before the set-up, and
 * the pieces that are put to it. */
async function complete(wish: Wish): Promise<void> {
  completing?.abort();
  const { look, text, thickness } = wish;
  const scenery = togetherIn(look);
  if (scenery === null) return;
  const { signal } = (completing = new AbortController());
  await tried(async () => {
    const mounted = look.setup !== null;
    const [scene, before] = await Promise.all([
      sceneOf(text, scenery, signal),
      mounted ? api.mesh(text, null, { ...look, moment: "before" }, CHORD.before, false, signal) : null,
    ]);
    const others = await Promise.all(
      scene.others.map(async ({ piece, piece_from_other }) => {
        const mesh = await api.mesh(text, null, { setup: null, piece, moment: "after" }, CHORD.before, thickness, signal);
        return mesh ? [{ mesh, piece_from_other }] : [];
      }),
    );
    const now = page.surface;
    if (!now || !sameLook(now, look) || page.text !== text) return;
    page.surface = {
      ...now,
      scene: mounted ? scene : null,
      before,
      others: others.flat(),
      since: 0,
      drawn: () => undefined,
    };
  });
}
