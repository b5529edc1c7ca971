// The page's address: which plan, which set-up, which side. It stands after `#`, so that the
// server knows one page only, and a reload finds the same place again.

export const SIDES = ["set", "numbers", "findings", "drawings", "size", "text", "files"] as const;
export type Side = (typeof SIDES)[number];

export interface Route {
  /** The plan's name; none on the shelf. */
  plan: string | null;
  /** The set-up; none for the finished piece. */
  setup: string | null;
  side: Side;
}

export const SHELF: Route = { plan: null, setup: null, side: "numbers" };

/** Reads an address's part after `#`; what makes no sense leads to the nearest that does. */
export function readRoute(hash: string): Route {
  const [path = "", query = ""] = hash.replace(/^#\/?/, "").split("?");
  const [kind, plan, setup] = path.split("/").map(unescaped);
  if (kind !== "plan" || !plan) return SHELF;
  const side = new URLSearchParams(query).get("side") as Side | null;
  return {
    plan,
    setup: setup || null,
    side: side && SIDES.includes(side) ? side : "numbers",
  };
}

export function writeRoute(route: Route): string {
  if (route.plan === null) return "#/";
  const setup = route.setup === null ? "" : `/${encodeURIComponent(route.setup)}`;
  return `#/plan/${encodeURIComponent(route.plan)}${setup}?side=${route.side}`;
}

function unescaped(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}
