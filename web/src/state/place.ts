// Where the page is: which plan, which set-up, which side. The address says it, so that a
// reload and a bookmark find the place again.
import { readRoute, writeRoute, type Route, type Side } from "../logic/route";
import { page } from "./page.svelte";

type Follower = (now: Route, before: Route) => void;
let follower: Follower = () => undefined;

/** Tells of every change of place, beginning with the first. */
export function beginPlace(follow: Follower): void {
  follower = follow;
  addEventListener("hashchange", () => move(readRoute(location.hash)));
  move(readRoute(location.hash));
}

function move(to: Route): void {
  const before = page.route;
  page.route = to;
  follower(to, before);
}

/** Goes to another place of the page; what is not named stays. */
export function goTo(to: Partial<Route>): void {
  const route = { ...page.route, ...to };
  const address = writeRoute(route);
  // Steps through set-ups and sides are no pages to go back through one by one.
  if (route.plan === page.route.plan) history.replaceState(null, "", address);
  else history.pushState(null, "", address);
  move(route);
}

export function showSide(side: Side): void {
  goTo({ side });
}

export function showSetup(setup: string | null): void {
  goTo({ setup });
}

/** The next set-up (1) or the one before (-1); the finished piece stands after the last. */
export function stepSetup(by: 1 | -1): void {
  const ids = page.worked?.report.setups.map((setup) => setup.id) ?? [];
  const at = page.route.setup === null ? ids.length : ids.indexOf(page.route.setup);
  const to = at + by;
  if (to < 0 || to > ids.length) return;
  showSetup(ids[to] ?? null);
}
