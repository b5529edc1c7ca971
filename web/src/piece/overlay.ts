/**
 * The labels over the picture: text of the page, sharp and large, placed at each frame.
 *
 * They are painted for the eye only and hidden from screen readers, to whom the page says
 * the same in its lists. Styles are set on the elements themselves, which a strict content
 * security policy allows; the page may restyle the classes `piece-label` and its kinds.
 */

import { Vector3, type Matrix4 } from "three";
import { arrange, type Anchor } from "./labels";
import type { Picture } from "./picture";
import type { Label } from "./scene";
import { heightOver, type Plane } from "./section";
import type { Theme } from "./theme";

/** A label as the picture sees it, in the page's pixels. */
export interface Seen {
  readonly x: number;
  readonly y: number;
  readonly towards: readonly [number, number];
  /** Faces the eye and lies in the picture. */
  readonly shown: boolean;
}

/** Type by kind, in the page's own size: it is read across a workshop, and grows with the window. */
const TYPE = { flag: 0.9, gap: 1.15 } as const;
const FONT = "system-ui, sans-serif";

export class Overlay {
  readonly #layer: HTMLDivElement;
  #labels: readonly Label[] = [];
  #elements: HTMLSpanElement[] = [];
  #sizes: { width: number; height: number }[] = [];
  #places: ({ left: number; top: number } | null)[] = [];
  #theme: Theme;
  readonly #ruler: CanvasRenderingContext2D | null;

  constructor(canvas: HTMLCanvasElement, theme: Theme) {
    this.#theme = theme;
    this.#ruler = document.createElement("canvas").getContext("2d");
    this.#layer = document.createElement("div");
    this.#layer.className = "piece-labels";
    this.#layer.setAttribute("aria-hidden", "true");
    Object.assign(this.#layer.style, {
      position: "absolute",
      overflow: "hidden",
      pointerEvents: "none",
    });
    canvas.insertAdjacentElement("afterend", this.#layer);
    const parent = canvas.parentElement;
    if (parent && getComputedStyle(parent).position === "static") parent.style.position = "relative";
  }

  theme(theme: Theme): void {
    this.#theme = theme;
    this.set(this.#labels);
  }

  set(labels: readonly Label[]): void {
    this.#labels = labels;
    this.#layer.replaceChildren();
    this.#places = [];
    this.#elements = labels.map((label) => {
      const element = document.createElement("span");
      element.className = `piece-label piece-label-${label.kind}`;
      element.textContent = label.text;
      const gap = label.kind === "gap";
      const size = typeOf(label);
      Object.assign(element.style, {
        position: "absolute",
        left: "0",
        top: "0",
        whiteSpace: "nowrap",
        font: `600 ${size}px/1 ${FONT}`,
        padding: gap ? "6px 9px" : "3px 6px",
        borderRadius: "4px",
        color: this.#theme.labelText,
        background: this.#theme.labelGround,
        border: `${gap ? 2 : 1}px solid ${this.#theme.labelText}`,
        visibility: "hidden",
      });
      this.#layer.append(element);
      return element;
    });
    // Measured by the text alone: asking the page for sizes would make it lay itself out.
    this.#sizes = labels.map((label) => {
      const size = typeOf(label);
      if (this.#ruler) this.#ruler.font = `600 ${size}px ${FONT}`;
      const width = this.#ruler?.measureText(label.text).width ?? label.text.length * size * 0.6;
      return label.kind === "gap"
        ? { width: width + 22, height: size + 16 }
        : { width: width + 14, height: size + 8 };
    });
  }

  /** Moves the labels to where their points are seen. */
  place(canvas: HTMLCanvasElement, seen: readonly Seen[]): void {
    const picture = { width: canvas.clientWidth, height: canvas.clientHeight };
    const style = this.#layer.style;
    style.left = `${canvas.offsetLeft}px`;
    style.top = `${canvas.offsetTop}px`;
    style.width = `${picture.width}px`;
    style.height = `${picture.height}px`;
    const which = seen.flatMap((one, i) => (one.shown ? [i] : []));
    const anchors: Anchor[] = which.map((i) => ({
      ...seen[i]!,
      ...this.#sizes[i]!,
      clear: this.#labels[i]!.kind === "gap" ? 24 : 6,
      weight: this.#labels[i]!.kind === "gap" ? 2 : 1,
      must: this.#labels[i]!.kind === "gap",
    }));
    this.#places = this.#labels.map(() => null);
    arrange(anchors, picture).forEach((place, k) => (this.#places[which[k]!] = place));
    this.#elements.forEach((element, i) => {
      const place = this.#places[i];
      element.style.visibility = place ? "visible" : "hidden";
      if (place) element.style.transform = `translate(${Math.round(place.left)}px, ${Math.round(place.top)}px)`;
    });
  }

  /** Paints the labels into a picture that is kept. */
  paint(to: CanvasRenderingContext2D, density: number): void {
    to.save();
    to.scale(density, density);
    to.textBaseline = "middle";
    this.#labels.forEach((label, i) => {
      const place = this.#places[i];
      if (!place) return;
      const size = this.#sizes[i]!;
      to.font = `600 ${typeOf(label)}px ${FONT}`;
      to.fillStyle = this.#theme.labelGround;
      to.strokeStyle = this.#theme.labelText;
      to.lineWidth = label.kind === "gap" ? 2 : 1;
      to.beginPath();
      to.roundRect(place.left + 0.5, place.top + 0.5, size.width - 1, size.height - 1, 4);
      to.fill();
      to.stroke();
      to.fillStyle = this.#theme.labelText;
      to.textAlign = "center";
      to.fillText(label.text, place.left + size.width / 2, place.top + size.height / 2 + 1);
    });
    to.restore();
  }

  dispose(): void {
    this.#layer.remove();
  }
}

/** How a label of the piece is seen now; `frame` carries the piece into the world. */
export function seenFrom(picture: Picture, frame: Matrix4, plane: Plane | null, label: Label): Seen {
  const world = new Vector3(...label.at).applyMatrix4(frame);
  const at = picture.project(world);
  const { width, height } = picture.size;
  const inside = !!at && at.x >= 0 && at.y >= 0 && at.x <= width && at.y <= height;
  const cutAway = !!plane && !!label.foot && heightOver(plane, label.foot) > 1e-3;
  if (!inside || cutAway) return { x: 0, y: 0, towards: [0, -1], shown: false };
  if (!label.out) return { ...at, towards: [0, -1], shown: true };
  const out = new Vector3(...label.out).transformDirection(frame);
  const sight = picture.camera.position.clone().sub(world).normalize();
  const tip = picture.project(world.clone().addScaledVector(out, 1)) ?? at;
  return { ...at, towards: [tip.x - at.x, tip.y - at.y], shown: out.dot(sight) > 0.02 };
}

/** Size of a label's type, the page's pixels; never below 16. */
function typeOf(label: Label): number {
  const own = parseFloat(getComputedStyle(document.documentElement).fontSize);
  return Math.max(16, Math.round(TYPE[label.kind] * own));
}
