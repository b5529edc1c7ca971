/**
 * The canvas, the eye and the moment of drawing.
 *
 * Nothing is drawn unless something asked for it: one flag says that a frame is pending,
 * however many changes come before it. While the eye travels each frame asks for the next,
 * and the last one asks for none. Where a frame takes long, as without a graphics card, frames
 * are drawn in fewer pixels while things move, and one in all of them when they rest. When the graphics card is lost the picture waits; when it
 * comes back everything is handed over again and drawn.
 */

import { Matrix4, PerspectiveCamera, Scene, Vector2, Vector3, Vector4, WebGLRenderer } from "three";
import { BY_PROCESSOR, finished, Pace } from "./pace";
import type { Shared } from "./wood";
import { FIELD, between, eye, type Point, type View } from "./view";

/** A rest after the last coarse frame before a fine one is drawn, ms. */
const REST = 200;

interface Travel {
  readonly from: View;
  readonly to: View;
  readonly began: number;
  readonly lasts: number;
}

export class Picture {
  readonly canvas: HTMLCanvasElement;
  readonly scene = new Scene();
  readonly camera = new PerspectiveCamera((FIELD * 180) / Math.PI, 1, 1, 1000);
  readonly shared: Shared = {
    plane: { value: new Vector4() },
    screen: { value: new Vector2(1, 1) },
    density: { value: 1 },
  };
  /** Called before each frame, when the eye stands where it will be drawn from. */
  before: () => void = () => {};
  /** Called after each frame. */
  after: () => void = () => {};
  /** Called with `true` when the graphics card is lost and `false` when it is back. */
  lost: (lost: boolean) => void = () => {};
  /** How far out anything is drawn from the target, mm. */
  reach = 100;

  #leavings: (() => void)[] = [];
  readonly #renderer: WebGLRenderer;
  readonly #still = matchMedia("(prefers-reduced-motion: reduce)");
  #view: View = { azimuth: 0.5, elevation: 0.3, distance: 200, target: [0, 0, 0] };
  #travel: Travel | null = null;
  #pending = 0;
  #gone = false;
  readonly #pace: Pace;
  /** Those who wait for the next frame to be drawn to its end. */
  #waiting: (() => void)[] = [];
  #resting: ReturnType<typeof setTimeout> | undefined;

  constructor(canvas: HTMLCanvasElement) {
    this.canvas = canvas;
    const byProcessor = drawnByProcessor();
    this.#pace = new Pace(byProcessor ? BY_PROCESSOR : 0);
    this.#renderer = new WebGLRenderer({
      canvas,
      // Smooth borders cost a processor that has to draw by itself two fifths of its time.
      antialias: !byProcessor,
      alpha: true,
      stencil: true,
      powerPreference: "low-power",
    });
    this.#renderer.setClearColor(0x000000, 0);
    this.#renderer.info.autoReset = true;
    canvas.addEventListener("webglcontextlost", this.#lose);
    canvas.addEventListener("webglcontextrestored", this.#regain);
    this.resize();
  }

  get view(): View {
    return this.#travel?.to ?? this.#view;
  }

  get aspect(): number {
    return this.camera.aspect;
  }

  /** Pixels of the page. */
  get size(): { width: number; height: number } {
    return { width: Math.max(1, this.canvas.clientWidth), height: Math.max(1, this.canvas.clientHeight) };
  }

  /** Looks from elsewhere: at once, or over some milliseconds where motion is welcome. */
  look(view: View, milliseconds = 0): void {
    if (milliseconds <= 0 || this.#still.matches) {
      this.#travel = null;
      this.#view = view;
    } else {
      this.#travel = { from: this.#view, to: view, began: performance.now(), lasts: milliseconds };
    }
    this.draw();
  }

  /** Asks for a frame; however often, one is drawn. */
  draw(): void {
    if (this.#pending !== 0 || this.#gone) return;
    this.#pending = requestAnimationFrame((now) => {
      this.#pending = 0;
      this.#advance(now);
      const { width, height } = this.size;
      const share = this.#pace.share(width * height * this.#fullDensity ** 2);
      this.#render(share * this.#fullDensity);
      clearTimeout(this.#resting);
      if (share < 1) this.#resting = setTimeout(() => this.now(), REST);
    });
  }

  /** Draws at once and as finely as the screen shows; for a picture that is read back in the
   * same breath. */
  now(): void {
    this.#render(this.#fullDensity);
  }

  /** Fulfilled when the next frame is drawn to its end. */
  drawn(): Promise<void> {
    return new Promise((resolve) => this.#waiting.push(resolve));
  }

  get #fullDensity(): number {
    return Math.min(window.devicePixelRatio || 1, 2);
  }

  #render(density: number): void {
    if (this.#gone) return;
    this.#fit(density);
    const { camera } = this;
    const at = eye(this.#view);
    camera.position.set(...at);
    camera.lookAt(...this.#view.target);
    camera.near = Math.max(this.#view.distance - this.reach, this.#view.distance * 0.04);
    camera.far = this.#view.distance + this.reach;
    camera.updateProjectionMatrix();
    camera.updateMatrixWorld();
    this.before();
    const began = performance.now();
    this.#renderer.render(this.scene, camera);
    const pixels = this.canvas.width * this.canvas.height;
    const waiting = this.#waiting;
    this.#waiting = [];
    void finished(this.#renderer.getContext() as WebGL2RenderingContext).then(() => {
      this.#pace.took(performance.now() - began, pixels);
      for (const resolve of waiting) resolve();
    });
    this.#clear();
    this.after();
  }

  /**
   * Does something once the next frame is drawn. Things that are replaced are let go only
   * then: a shader program that nothing holds in between would be compiled anew.
   */
  later(act: () => void): void {
    this.#leavings.push(act);
  }

  #clear(): void {
    const leavings = this.#leavings;
    this.#leavings = [];
    for (const act of leavings) act();
  }

  resize(): void {
    // A canvas of another size is empty, and this frame's drawing may be over already.
    this.now();
  }

  #fit(density: number): void {
    const { width, height } = this.size;
    const { canvas } = this;
    if (canvas.width !== Math.floor(width * density) || canvas.height !== Math.floor(height * density)) {
      this.#renderer.setDrawingBufferSize(width, height, density);
    }
    this.camera.aspect = width / height;
    this.shared.density.value = density;
    Object.assign(this.shared.screen.value, { x: width * density, y: height * density });
  }

  /** Where a point of the world is seen, in the page's pixels; `null` behind the eye. */
  project(world: Vector3): { x: number; y: number } | null {
    const at = world.clone().project(this.camera);
    if (at.z > 1 || at.z < -1) return null;
    const { width, height } = this.size;
    return { x: ((at.x + 1) / 2) * width, y: ((1 - at.y) / 2) * height };
  }

  /** The line of sight through a place of the picture, in a frame that stands in the world. */
  sight(x: number, y: number, frame: Matrix4): { from: Point; direction: Point } {
    const { width, height } = this.size;
    const back = frame.clone().invert();
    const through = new Vector3((2 * x) / width - 1, 1 - (2 * y) / height, 0.5).unproject(this.camera);
    const from = this.camera.position.clone().applyMatrix4(back);
    const direction = through.applyMatrix4(back).sub(from).normalize();
    return { from: from.toArray(), direction: direction.toArray() };
  }

  dispose(): void {
    cancelAnimationFrame(this.#pending);
    clearTimeout(this.#resting);
    this.canvas.removeEventListener("webglcontextlost", this.#lose);
    this.canvas.removeEventListener("webglcontextrestored", this.#regain);
    this.#gone = true;
    this.#clear();
    this.#renderer.dispose();
  }

  #advance(now: number): void {
    const travel = this.#travel;
    if (!travel) return;
    const part = Math.min(1, Math.max(0, (now - travel.began) / travel.lasts));
    // Away at once, home gently.
    this.#view = between(travel.from, travel.to, 1 - (1 - part) ** 3);
    if (part < 1) this.draw();
    else this.#travel = null;
  }

  readonly #lose = (event: Event) => {
    event.preventDefault();
    cancelAnimationFrame(this.#pending);
    this.#pending = 0;
    this.#gone = true;
    this.lost(true);
  };

  readonly #regain = () => {
    this.#gone = false;
    this.lost(false);
    this.draw();
  };
}

/** Whether the browser draws without a graphics card, as far as it tells. */
function drawnByProcessor(): boolean {
  const context = document.createElement("canvas").getContext("webgl2");
  if (!context) return false;
  const info = context.getExtension("WEBGL_debug_renderer_info");
  const name = info ? String(context.getParameter(info.UNMASKED_RENDERER_WEBGL)) : "";
  context.getExtension("WEBGL_lose_context")?.loseContext();
  return /swiftshader|llvmpipe|softpipe|software|basic render/i.test(name);
}
