/**
 * Hands on the picture: one finger or the main button turns, two fingers zoom and shift,
 * the wheel zooms, another button or the shift key shifts. There is no inertia: what the
 * hand has let go stands still.
 */

export interface Hands {
  /** Turned by pixels. */
  turn(dx: number, dy: number): void;
  zoom(factor: number): void;
  /** Shifted by pixels. */
  pan(dx: number, dy: number): void;
  /** The pointer rests over a place, tapped it, or left (`null`). */
  point(at: { x: number; y: number; tapped: boolean } | null): void;
  /** Whether something to be dragged lies there; if so `drag` gets the moves. */
  grab(x: number, y: number): boolean;
  drag(x: number, y: number): void;
}

/** A press that moves less than this is a tap, pixels. */
const STILL = 5;

/** Listens until the function it returns is called. */
export function listen(canvas: HTMLCanvasElement, hands: Hands): () => void {
  const down = new Map<number, { x: number; y: number }>();
  let travelled = 0;
  let grabbed = false;
  let shifts = false;

  const at = (event: PointerEvent) => {
    const box = canvas.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  };

  const press = (event: PointerEvent) => {
    const place = at(event);
    canvas.setPointerCapture(event.pointerId);
    if (down.size === 0) {
      travelled = 0;
      shifts = event.button !== 0 || event.shiftKey;
      grabbed = !shifts && hands.grab(place.x, place.y);
    } else {
      grabbed = false;
      travelled = STILL + 1;
    }
    down.set(event.pointerId, place);
  };

  const move = (event: PointerEvent) => {
    const place = at(event);
    const before = down.get(event.pointerId);
    if (!before) {
      if (event.pointerType !== "touch") hands.point({ ...place, tapped: false });
      return;
    }
    const [dx, dy] = [place.x - before.x, place.y - before.y];
    travelled += Math.hypot(dx, dy);
    if (travelled < STILL) return;
    if (down.size === 1) {
      if (grabbed) hands.drag(place.x, place.y);
      else if (shifts) hands.pan(dx, dy);
      else hands.turn(dx, dy);
    } else if (down.size === 2) {
      const other = [...down].find(([id]) => id !== event.pointerId)![1];
      const [was, is] = [
        Math.hypot(before.x - other.x, before.y - other.y),
        Math.hypot(place.x - other.x, place.y - other.y),
      ];
      if (was > 1 && is > 1) hands.zoom(is / was);
      hands.pan(dx / 2, dy / 2);
    }
    down.set(event.pointerId, place);
  };

  const lift = (event: PointerEvent) => {
    if (!down.delete(event.pointerId)) return;
    const tapped = event.type === "pointerup" && travelled < STILL && !grabbed;
    if (tapped) hands.point({ ...at(event), tapped: true });
    if (down.size === 0) grabbed = false;
  };

  const leave = (event: PointerEvent) => {
    // A finger leaves with every lift, and what it tapped stays told.
    if (down.size === 0 && event.pointerType !== "touch") hands.point(null);
  };

  const wheel = (event: WheelEvent) => {
    event.preventDefault();
    // Lines and pages are turned into pixels, as browsers do not agree on one measure.
    const pixels = event.deltaY * (event.deltaMode === 1 ? 16 : event.deltaMode === 2 ? 400 : 1);
    hands.zoom(Math.exp(-Math.max(-240, Math.min(240, pixels)) * 0.0016));
  };

  const menu = (event: Event) => event.preventDefault();

  const before = canvas.style.touchAction;
  // A page that wants to be scrolled by a finger on the picture says so in its style sheet.
  if (getComputedStyle(canvas).touchAction === "auto") canvas.style.touchAction = "none";
  canvas.addEventListener("pointerdown", press);
  canvas.addEventListener("pointermove", move);
  canvas.addEventListener("pointerup", lift);
  canvas.addEventListener("pointercancel", lift);
  canvas.addEventListener("pointerleave", leave);
  canvas.addEventListener("wheel", wheel, { passive: false });
  canvas.addEventListener("contextmenu", menu);
  return () => {
    canvas.style.touchAction = before;
    canvas.removeEventListener("pointerdown", press);
    canvas.removeEventListener("pointermove", move);
    canvas.removeEventListener("pointerup", lift);
    canvas.removeEventListener("pointercancel", lift);
    canvas.removeEventListener("pointerleave", leave);
    canvas.removeEventListener("wheel", wheel);
    canvas.removeEventListener("contextmenu", menu);
  };
}
