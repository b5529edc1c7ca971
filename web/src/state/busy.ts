// What is under way. Anything that takes long enough to be noticed shows.
import { page } from "./page.svelte";

/** What takes longer than this shows that it is under way, ms. */
const SLOW = 300;
let count = 0;
let timer: ReturnType<typeof setTimeout> | undefined;

/** Something begins; what comes back ends it, once. */
export function underWay(): () => void {
  if (count++ === 0) timer = setTimeout(() => (page.slow = true), SLOW);
  let ended = false;
  return () => {
    if (ended) return;
    ended = true;
    if (--count > 0) return;
    clearTimeout(timer);
    page.slow = false;
  };
}
