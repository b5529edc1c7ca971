/**
 * Lines of a given thickness on the screen.
 *
 * The graphics interface draws lines one pixel thin, too thin across a workshop. Each piece
 * of line is a rectangle turned to the screen, its ends round, its border smooth; pieces
 * that share an end therefore join. Lines stand a little towards the eye from where they
 * are, so that one drawn on a surface is not lost in it.
 */

import {
  BufferAttribute,
  Color,
  InstancedBufferAttribute,
  InstancedBufferGeometry,
  InstancedInterleavedBuffer,
  InterleavedBufferAttribute,
  Mesh,
  ShaderMaterial,
  Vector2,
} from "three";
import { CUT_AWAY, define, SHOWN, type Shared } from "./wood";
import type { Colour } from "./ramp";
import type { Point } from "./view";

export interface Stroke {
  readonly colour: Colour;
  /** Thickness in the page's pixels. */
  readonly width: number;
  readonly opacity?: number;
  /** Length of a dash and of the gap after it, mm. */
  readonly dash?: readonly [number, number];
  /** Drawn over whatever stands before it. */
  readonly through?: boolean;
  /** How far towards the eye it is drawn, mm. */
  readonly lift?: number;
  /** Taken away by the cutting plane with the wood. */
  readonly cut?: boolean;
  readonly order?: number;
}

const VERTEX = /* glsl */ `
attribute vec2 corner;
attribute vec3 start;
attribute vec3 end;
uniform vec2 screen;
uniform float density;
uniform float width;
uniform float lift;
varying vec3 pixel;
flat varying float span;
#ifdef CUTTING
varying vec3 place;
#endif
#ifdef DASHED
attribute float along;
varying float far;
#endif
void main() {
  vec4 a = modelViewMatrix * vec4(start, 1.0);
  vec4 b = modelViewMatrix * vec4(end, 1.0);
  a.xyz *= 1.0 - lift / max(length(a.xyz), lift);
  b.xyz *= 1.0 - lift / max(length(b.xyz), lift);
  // What lies behind the eye is cut off at one millimetre before it.
  if (a.z > -1.0 && b.z < -1.0) a = mix(b, a, (-1.0 - b.z) / (a.z - b.z));
  if (b.z > -1.0 && a.z < -1.0) b = mix(a, b, (-1.0 - a.z) / (b.z - a.z));
  vec4 p = projectionMatrix * a;
  vec4 q = projectionMatrix * b;
  vec2 way = (q.xy / q.w - p.xy / p.w) * 0.5 * screen;
  span = length(way);
  way = span > 1e-4 ? way / span : vec2(1.0, 0.0);
  float reach = 0.5 * width * density + 1.0;
  bool first = corner.x < 0.5;
  vec4 at = first ? p : q;
  float ahead = first ? -reach : reach;
  vec2 offset = way * ahead + vec2(-way.y, way.x) * corner.y * reach;
  at.xy += offset * 2.0 / screen * at.w;
  gl_Position = at;
  pixel = vec3(first ? ahead : span + ahead, corner.y * reach, 1.0) * at.w;
#ifdef CUTTING
  place = first ? start : end;
#endif
#ifdef DASHED
  far = along + (first ? 0.0 : distance(start, end));
#endif
}
`;

const FRAGMENT = /* glsl */ `
uniform vec3 colour;
uniform float opacity;
uniform float width;
uniform float density;
uniform vec2 dash;
varying vec3 pixel;
flat varying float span;
#ifdef CUTTING
varying vec3 place;
#endif
#ifdef DASHED
varying float far;
#endif
${CUT_AWAY}
${SHOWN}
void main() {
#ifdef CUTTING
  cutAway(place);
#endif
  vec2 at = pixel.xy / pixel.z;
  float beyond = max(max(-at.x, at.x - span), 0.0);
  float cover = clamp(0.5 * width * density + 0.5 - length(vec2(beyond, at.y)), 0.0, 1.0);
#ifdef DASHED
  float inside = mod(far, dash.x + dash.y);
  cover *= clamp(min(inside, dash.x - inside) / max(fwidth(far), 1e-6) + 0.5, 0.0, 1.0);
#endif
  if (cover <= 0.0) discard;
  gl_FragColor = vec4(shown(colour), opacity * cover);
}
`;

/** A set of line pieces of one look. */
export class Strokes {
  readonly object: Mesh<InstancedBufferGeometry, ShaderMaterial>;
  readonly #cut: boolean;

  constructor(shared: Shared, stroke: Stroke, pieces: Float32Array = new Float32Array(0)) {
    const material = new ShaderMaterial({
      vertexShader: VERTEX,
      fragmentShader: FRAGMENT,
      transparent: true,
      depthWrite: false,
      depthTest: !stroke.through,
      defines: stroke.dash ? { DASHED: 1 } : {},
      uniforms: {
        ...shared,
        colour: { value: new Color(...stroke.colour) },
        width: { value: stroke.width },
        opacity: { value: stroke.opacity ?? 1 },
        dash: { value: new Vector2(...(stroke.dash ?? [0, 0])) },
        lift: { value: stroke.lift ?? 0.25 },
      },
    });
    this.object = new Mesh(new InstancedBufferGeometry(), material);
    this.object.frustumCulled = false;
    this.object.renderOrder = stroke.order ?? 10;
    this.#cut = stroke.cut ?? false;
    this.set(pieces);
  }

  /** Draws other pieces, six numbers each; those that follow on carry the dashes on. */
  set(pieces: Float32Array): void {
    const old = this.object.geometry;
    const geometry = new InstancedBufferGeometry();
    geometry.setAttribute("corner", new BufferAttribute(CORNERS, 2));
    geometry.setIndex(new BufferAttribute(RECTANGLE, 1));
    const buffer = new InstancedInterleavedBuffer(pieces, 6);
    geometry.setAttribute("start", new InterleavedBufferAttribute(buffer, 3, 0));
    geometry.setAttribute("end", new InterleavedBufferAttribute(buffer, 3, 3));
    if (this.object.material.defines.DASHED) geometry.setAttribute("along", new InstancedBufferAttribute(lengths(pieces), 1));
    geometry.instanceCount = pieces.length / 6;
    this.object.geometry = geometry;
    this.object.visible = pieces.length > 0;
    old.dispose();
  }

  restyle(colour: Colour, opacity = 1): void {
    (this.object.material.uniforms.colour!.value as Color).setRGB(...colour);
    this.object.material.uniforms.opacity!.value = opacity;
  }

  /** Whether the plane cuts just now; it matters to lines that are cut with the wood. */
  cutting(on: boolean): void {
    if (this.#cut) define(this.object.material, "CUTTING", on && 1);
  }

  dispose(): void {
    this.object.removeFromParent();
    this.object.geometry.dispose();
    this.object.material.dispose();
  }
}

const CORNERS = new Float32Array([0, -1, 1, -1, 1, 1, 0, 1]);
const RECTANGLE = new Uint16Array([0, 1, 2, 0, 2, 3]);

/** A way through points as pieces of line. */
export function pieces(points: readonly (readonly number[])[], closed = false): Float32Array {
  const count = Math.max(0, points.length - (closed ? 0 : 1));
  const list = new Float32Array(6 * count);
  for (let i = 0; i < count; i++) {
    list.set(points[i]!.slice(0, 3), 6 * i);
    list.set(points[(i + 1) % points.length]!.slice(0, 3), 6 * i + 3);
  }
  return list;
}

export function joined(lists: readonly Float32Array[]): Float32Array {
  const whole = new Float32Array(lists.reduce((sum, list) => sum + list.length, 0));
  let at = 0;
  for (const list of lists) {
    whole.set(list, at);
    at += list.length;
  }
  return whole;
}

/** How far along its line each piece begins, mm. */
export function lengths(pieces: Float32Array): Float32Array {
  const along = new Float32Array(pieces.length / 6);
  let far = 0;
  for (let i = 0; i < along.length; i++) {
    const k = 6 * i;
    const follows = i > 0 && [0, 1, 2].every((c) => pieces[k + c] === pieces[k - 3 + c]);
    if (!follows) far = 0;
    along[i] = far;
    far += Math.hypot(pieces[k + 3]! - pieces[k]!, pieces[k + 4]! - pieces[k + 1]!, pieces[k + 5]! - pieces[k + 2]!);
  }
  return along;
}

/** A circle about a point, square to a direction. */
export function ring(at: Point, out: Point, radius: number): Float32Array {
  const { u, v } = squareTo(out);
  const points = Array.from({ length: 24 }, (_, i) => {
    const angle = (i * Math.PI) / 12;
    const [c, s] = [radius * Math.cos(angle), radius * Math.sin(angle)];
    return at.map((part, k) => part + c * u[k]! + s * v[k]!);
  });
  return pieces(points, true);
}

/** Two unit vectors square to a direction and to each other. */
export function squareTo(direction: Point): { u: Point; v: Point } {
  const length = Math.hypot(...direction) || 1;
  const n = direction.map((part) => part / length) as unknown as Point;
  const other: Point = Math.abs(n[0]) < 0.6 ? [1, 0, 0] : [0, 1, 0];
  const u = crossed(n, other);
  return { u, v: crossed(n, u) };
}

function crossed(a: Point, b: Point): Point {
  const c = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
  const length = Math.hypot(...c) || 1;
  return c.map((part) => part / length) as unknown as Point;
}
