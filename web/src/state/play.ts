// Playing the job: each set-up's wood before, then what goes, then the next.
import { page } from "./page.svelte";
import { showSetup, stepSetup } from "./place";
import { setCompare } from "./view";

const pause = (ms: number) => new Promise((done) => setTimeout(done, ms));
let played = 0;

/** Plays the job from the set-up shown, or from the first; called again, stops. */
export function play(): void {
  page.playing = !page.playing;
  played += 1;
  if (page.playing) void playOn(played);
}

async function playOn(round: number): Promise<void> {
  const on = () => page.playing && played === round && page.worked !== null;
  const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
  if (page.route.setup === null) showSetup(page.worked?.report.setups[0]?.id ?? null);
  while (on() && page.route.setup !== null) {
    const here = page.route.setup;
    setCompare(0);
    for (let waited = 0; waited < 4000 && on() && !(page.surface?.setup === here && page.surface.before); waited += 50) await pause(50);
    await pause(700);
    for (let share = still ? 1 : 0.04; on() && page.route.setup === here && share <= 1; share += 0.04) {
      setCompare(Math.min(1, share));
      await pause(30);
    }
    setCompare(1);
    await pause(900);
    if (on() && page.route.setup === here) stepSetup(1);
  }
  if (played === round) page.playing = false;
}
