/**
 * Where labels stand: beside their point, inside the picture, and not on one another.
 *
 * Labels are taken in order of weight. Each tries eight places about its point, the one
 * away from the middle of the piece first; one that must show takes the least bad, one
 * that need not is left out. A dozen labels are placed at each frame, so all against all
 * is quick enough.
 */

export interface Anchor {
  /** The point in the picture, pixels from the upper left. */
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
  /** Direction in the picture in which the label would rather stand; need not be unit. */
  readonly towards: readonly [number, number];
  /** How far from the point it stands, pixels. */
  readonly clear: number;
  /** Greater is placed first. */
  readonly weight: number;
  /** Shown even where it covers another. */
  readonly must: boolean;
}

/** Upper left corner of each label, or `null` for one that is left out. */
export function arrange(
  anchors: readonly Anchor[],
  picture: { width: number; height: number },
): ({ left: number; top: number } | null)[] {
  const places: ({ left: number; top: number } | null)[] = anchors.map(() => null);
  const taken: Rectangle[] = [];
  const order = anchors.map((_, i) => i).sort((a, b) => anchors[b]!.weight - anchors[a]!.weight || a - b);
  for (const index of order) {
    const anchor = anchors[index]!;
    let best: { left: number; top: number } | null = null;
    let least = Infinity;
    const begin = Math.atan2(anchor.towards[1], anchor.towards[0]);
    for (let turn = 0; turn < 8; turn++) {
      // 0, 45, -45, 90, ... degrees from where it would rather stand.
      const angle = begin + (((turn + 1) >> 1) * (turn % 2 ? 1 : -1) * Math.PI) / 4;
      const rectangle = beside(anchor, angle, picture);
      const covered = taken.reduce((sum, other) => sum + overlap(rectangle, other), 0);
      const hidden = covers(rectangle, anchor.x, anchor.y) ? 1 : 0;
      const cost = covered + 40 * hidden + 0.01 * turn;
      if (cost < least) {
        least = cost;
        best = { left: rectangle.left, top: rectangle.top };
      }
      if (covered + hidden === 0) break;
    }
    if (!best || (least >= 1 && !anchor.must)) continue;
    places[index] = best;
    taken.push({ ...best, width: anchor.width, height: anchor.height });
  }
  return places;
}

interface Rectangle {
  left: number;
  top: number;
  width: number;
  height: number;
}

/** The rectangle whose border stands clear of the point in a direction, kept in the picture. */
function beside(
  { x, y, width, height, clear }: Anchor,
  angle: number,
  picture: { width: number; height: number },
): Rectangle {
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const within = (at: number, size: number, whole: number) => Math.max(0, Math.min(whole - size, at));
  return {
    left: within(x + c * (clear + width / 2) - width / 2, width, picture.width),
    top: within(y + s * (clear + height / 2) - height / 2, height, picture.height),
    width,
    height,
  };
}

function overlap(a: Rectangle, b: Rectangle): number {
  const wide = Math.min(a.left + a.width, b.left + b.width) - Math.max(a.left, b.left);
  const tall = Math.min(a.top + a.height, b.top + b.height) - Math.max(a.top, b.top);
  return wide > 0 && tall > 0 ? wide * tall : 0;
}

function covers(a: Rectangle, x: number, y: number): boolean {
  return x > a.left && x < a.left + a.width && y > a.top && y < a.top + a.height;
}
