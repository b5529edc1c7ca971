/**
 * Fills the section that the cutting plane leaves, so that the piece looks solid.
 *
 * The wood behind the plane is drawn into the stencil only: every face turned away from the
 * eye counts one up, every face turned towards it one down. Where the plane lies inside the
 * wood the count behind it is not level, whatever holes and hollows the line of sight meets
 * further on; there and only there a rectangle in the plane is painted. (The approach of
 * three.js' example of clipping with a stencil.) The count is wiped after each solid, so
 * that the wood before and after a step have caps of their own.
 */

import {
  AlwaysStencilFunc,
  BackSide,
  Color,
  DecrementWrapStencilOp,
  DoubleSide,
  FrontSide,
  Group,
  IncrementWrapStencilOp,
  Matrix4,
  Mesh,
  NotEqualStencilFunc,
  PlaneGeometry,
  ReplaceStencilOp,
  ShaderMaterial,
  Vector3,
  type BufferGeometry,
} from "three";
import { CUT_AWAY, SHOWN, type Shared } from "./wood";
import type { Plane } from "./section";
import type { Colour } from "./ramp";
import { dot, type Box, type Point } from "./view";

const COUNT_VERTEX = /* glsl */ `
varying vec3 place;
void main() {
  place = position;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}
`;

const COUNT_FRAGMENT = /* glsl */ `
varying vec3 place;
${CUT_AWAY}
void main() {
  cutAway(place);
  gl_FragColor = vec4(1.0);
}
`;

const CAP_VERTEX = /* glsl */ `
uniform float lift;
varying vec2 at;
void main() {
  at = position.xy;
  vec4 eye = modelViewMatrix * vec4(position, 1.0);
  eye.xyz *= 1.0 + lift / length(eye.xyz);
  gl_Position = projectionMatrix * eye;
}
`;

const CAP_FRAGMENT = /* glsl */ `
uniform vec3 ground;
uniform vec3 line;
uniform float spacing;
varying vec2 at;
${SHOWN}
void main() {
  float count = (at.x + at.y) / spacing;
  float width = fwidth(count);
  float stripe = abs(fract(count) - 0.5);
  float hatch = smoothstep(0.5 - 0.09 - width, 0.5 - 0.09 + width, stripe);
  gl_FragColor = vec4(shown(mix(ground, line, 0.75 * hatch)), 1.0);
}
`;

/** The cap of one solid. */
export class Cap {
  readonly object = new Group();
  readonly #away: Mesh;
  readonly #towards: Mesh;
  readonly #cap: Mesh<PlaneGeometry, ShaderMaterial>;

  /** Caps of greater `order` are painted later; `lift` sets one behind another, mm. */
  constructor(shared: Shared, order: number, lift = 0) {
    const counting = (side: typeof BackSide | typeof FrontSide) => {
      const step = side === BackSide ? IncrementWrapStencilOp : DecrementWrapStencilOp;
      return new ShaderMaterial({
        vertexShader: COUNT_VERTEX,
        fragmentShader: COUNT_FRAGMENT,
        defines: { CUTTING: 1 },
        uniforms: { plane: shared.plane },
        side,
        depthWrite: false,
        depthTest: false,
        colorWrite: false,
        stencilWrite: true,
        stencilFunc: AlwaysStencilFunc,
        stencilFail: step,
        stencilZFail: step,
        stencilZPass: step,
      });
    };
    const empty = new PlaneGeometry();
    this.#away = new Mesh(empty, counting(BackSide));
    this.#towards = new Mesh(empty, counting(FrontSide));
    const paint = new ShaderMaterial({
      vertexShader: CAP_VERTEX,
      fragmentShader: CAP_FRAGMENT,
      uniforms: {
        ground: { value: new Color() },
        line: { value: new Color() },
        spacing: { value: 2 },
        lift: { value: lift },
      },
      side: DoubleSide,
      stencilWrite: true,
      stencilRef: 0,
      stencilFunc: NotEqualStencilFunc,
      stencilFail: ReplaceStencilOp,
      stencilZFail: ReplaceStencilOp,
      stencilZPass: ReplaceStencilOp,
    });
    this.#cap = new Mesh(empty, paint);
    this.#cap.matrixAutoUpdate = false;
    this.#cap.onAfterRender = (renderer) => renderer.clearStencil();
    // One solid is counted, painted and wiped before the next one's count begins.
    this.#away.renderOrder = order;
    this.#towards.renderOrder = order + 0.001;
    this.#cap.renderOrder = order + 0.002;
    for (const mesh of [this.#away, this.#towards, this.#cap]) mesh.frustumCulled = false;
    this.object.add(this.#away, this.#towards, this.#cap);
    this.object.visible = false;
  }

  paint(ground: Colour, line: Colour): void {
    (this.#cap.material.uniforms.ground!.value as Color).setRGB(...ground);
    (this.#cap.material.uniforms.line!.value as Color).setRGB(...line);
  }

  /** Caps the solid at the plane; `null` takes the cap away. */
  show(geometry: BufferGeometry | null, plane: Plane | null, box: Box | null): void {
    this.object.visible = geometry !== null && plane !== null && box !== null;
    if (!geometry || !plane || !box) return;
    this.#away.geometry = geometry;
    this.#towards.geometry = geometry;
    const size = Math.hypot(...box.most.map((most, k) => most - box.least[k]!));
    this.#cap.matrix.copy(placeOf(plane, middle(box), 1.2 * size));
    this.#cap.matrixWorldNeedsUpdate = true;
    // The rectangle is one by one before its matrix: the hatch is given in its own measure.
    this.#cap.material.uniforms.spacing!.value = 1 / 34;
  }

  dispose(): void {
    this.object.removeFromParent();
    for (const mesh of [this.#away, this.#towards]) (mesh.material as ShaderMaterial).dispose();
    this.#cap.geometry.dispose();
    this.#cap.material.dispose();
  }
}

/** Two unit vectors in the plane, square to each other. */
export function axesOf(normal: Point): { u: Point; v: Point } {
  const n = new Vector3(...normal).normalize();
  // The second axis keeps to the piece's own z where it can, so that frames stand upright.
  const up = Math.abs(n.z) > 0.9 ? new Vector3(0, 1, 0) : new Vector3(0, 0, 1);
  const u = up.clone().cross(n).normalize();
  const v = n.clone().cross(u);
  return { u: u.toArray(), v: v.toArray() };
}

/** The middle of the box, dropped on to the plane. */
export function footOf(plane: Plane, at: Point): Point {
  const level = dot(plane.normal, plane.origin) - dot(plane.normal, at);
  return at.map((part, k) => part + level * plane.normal[k]!) as unknown as Point;
}

function middle(box: Box): Point {
  return box.least.map((least, k) => (least + box.most[k]!) / 2) as unknown as Point;
}

function placeOf(plane: Plane, about: Point, size: number): Matrix4 {
  const { u, v } = axesOf(plane.normal);
  const [a, b, n] = [u, v, plane.normal].map((axis) => new Vector3(...axis).multiplyScalar(size)) as [
    Vector3,
    Vector3,
    Vector3,
  ];
  return new Matrix4().makeBasis(a, b, n).setPosition(new Vector3(...footOf(plane, about)));
}
