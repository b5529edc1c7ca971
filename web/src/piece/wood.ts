/**
 * The look of solid things: wood with its grain, coloured faces, a coloured number, steel.
 *
 * One shader program paints all of them, so that a first picture waits for one compilation
 * only. Wood is painted as a block would be: growth rings about a pith that stands beside
 * the piece, along z, and fine fibres drawn out along z. End grain and long grain come out
 * of that by themselves. It is a picture, not a claim about the piece of wood on the bench.
 *
 * Light comes with the eye: a soft key from the upper left, a fill from the right, a rim
 * from behind. Where the colour carries a number the light is flattened, so that shade is
 * not taken for a darker step of the scale, and a line is drawn at each step.
 */

import {
  ClampToEdgeWrapping,
  Color,
  Data3DTexture,
  DataTexture,
  FrontSide,
  LinearFilter,
  NearestFilter,
  RedFormat,
  RepeatWrapping,
  RGBAFormat,
  ShaderMaterial,
  UnsignedByteType,
  Vector3,
  Vector4,
} from "three";
import { linear, ramp, type Colour } from "./ramp";

/** What the colour of a solid says. */
export const PAINT = { wood: 0, step: 1, amount: 2, plain: 3 } as const;

/** Colours of early and of late wood. */
export interface WoodColours {
  readonly early: Colour;
  readonly late: Colour;
}

/** A pale, even wood, such as field maple. */
export const PALE_WOOD: WoodColours = { early: linear(0.885, 0.055, 80), late: linear(0.81, 0.076, 70) };

/** Uniforms that all materials of one picture share. */
export interface Shared {
  /** Normal and level of the cutting plane in the piece's frame. */
  readonly plane: { value: Vector4 };
  /** Size of the picture in pixels. */
  readonly screen: { value: { x: number; y: number } };
  /** Pixels of the screen for one of the page's. */
  readonly density: { value: number };
}

/**
 * Takes away what lies over the plane. Only compiled in while the plane cuts: a shader that
 * may discard keeps the card from skipping hidden faces before it paints them.
 */
export const CUT_AWAY = /* glsl */ `
#ifdef CUTTING
uniform vec4 plane;
void cutAway(vec3 place) {
  if (dot(place, plane.xyz) > plane.w) discard;
}
#else
void cutAway(vec3 place) {}
#endif
`;

export const SHOWN = /* glsl */ `
vec3 shown(vec3 light) {
  light = clamp(light, 0.0, 1.0);
  return mix(12.92 * light, 1.055 * pow(light, vec3(1.0 / 2.4)) - 0.055, step(0.0031308, light));
}
`;

const VERTEX = /* glsl */ `
varying vec3 place;
varying vec3 own;
#if PAINT == 1
attribute float cut;
flat varying float face;
#elif PAINT == 2
attribute float amount;
varying float number;
#endif
void main() {
  place = position;
  own = normal;
#if PAINT == 1
  face = cut;
#elif PAINT == 2
  number = amount;
#endif
#ifdef INSET
  vec4 eye = modelViewMatrix * vec4(position - INSET * normal, 1.0);
  eye.xyz *= 1.0 + INSET / length(eye.xyz);
#else
  vec4 eye = modelViewMatrix * vec4(position, 1.0);
#endif
  gl_Position = projectionMatrix * eye;
}
`;

// Few numbers run from corner to pixel, since each costs at every triangle where the
// processor draws; and each way of painting is a program of its own, since a processor
// that draws many pixels at once goes down both sides of every fork.
const FRAGMENT = /* glsl */ `
uniform mat4 modelViewMatrix;
uniform mat3 normalMatrix;
uniform vec3 plain;
uniform vec3 early;
uniform vec3 late;
uniform vec3 scale;
uniform vec4 body;
uniform float slender;
uniform vec3 ink;
uniform vec3 going;
uniform float opacity;
uniform float density;
uniform sampler2D cuts;
uniform sampler2D ramp;
uniform sampler3D noise;
varying vec3 place;
varying vec3 own;
#if PAINT == 1
flat varying float face;
#elif PAINT == 2
varying float number;
#endif
${CUT_AWAY}
${SHOWN}
// A pattern too fine for the picture fades to its middle.
float seenAt(float width) { return 1.0 - smoothstep(0.25, 0.75, width); }

// The noise without the kinks that straight steps between its points would leave.
float smoothly(vec3 at) {
  at = at * 32.0 - 0.5;
  vec3 part = fract(at);
  part = part * part * (3.0 - 2.0 * part);
  return texture(noise, (floor(at) + part + 0.5) / 32.0).r - 0.5;
}

vec3 wood(vec3 p) {
  float size = body.w;
  float waver = smoothly(p * vec3(0.05, 0.05, 0.018) / size + 0.3);
  vec2 pith = p.xy - vec2(-1.5, 0.9) * size;
  float rings = (length(pith) / size + 0.16 * waver) * 13.0;
  float part = fract(rings);
  // Slowly darker through the year, then at once pale.
  float year = smoothstep(0.1, 0.86, part) * (1.0 - smoothstep(0.9, 1.0, part));
  year = mix(0.4, year, seenAt(fwidth(rings)));
  vec3 thread = p * vec3(6.0, 6.0, 0.3) / size;
  float fibre = texture(noise, thread).r - 0.5;
  fibre *= seenAt(length(fwidth(thread)) * 5.0);
  vec3 colour = mix(early, late, 0.8 * year + 0.35 * waver);
  return colour * (1.0 + 0.16 * fibre);
}

void main() {
  cutAway(place);
  vec3 n = normalize(normalMatrix * own);
  vec3 v = normalize(-(modelViewMatrix * vec4(place, 1.0)).xyz);
#if PAINT == 0
  vec3 colour = wood(place);
  const float flatter = 0.0;
#elif PAINT == 1
  vec3 colour = texture(cuts, vec2((face + 0.5) / 256.0, 0.5)).rgb;
  const float flatter = 0.6;
#elif PAINT == 2
  float part = clamp((number - scale.x) / (scale.y - scale.x), 0.0, 1.0);
  vec3 colour = texture(ramp, vec2(part * 255.0 / 256.0 + 0.5 / 256.0, 0.5)).rgb;
  float steps = (number - scale.x) / scale.z;
  float width = fwidth(steps);
  float line = 1.0 - smoothstep(0.4, 1.4, abs(fract(steps - 0.5) - 0.5) / (max(width, 1e-6) * density));
  colour *= 1.0 - 0.55 * line * (1.0 - smoothstep(0.15, 0.4, width)) * step(0.5, steps);
  const float flatter = 1.0;
#else
  vec3 colour = plain;
  const float flatter = 0.0;
#endif
#if PAINT == 1 || PAINT == 2
  // From shown to linear light, near enough.
  colour *= colour * (0.305306011 * colour + 0.682171111) + 0.012522878;
#endif

  float key = max(0.0, dot(n, vec3(-0.471, 0.678, 0.565)) * 0.8 + 0.2);
  float fill = max(0.0, dot(n, vec3(0.847, 0.053, 0.529)));
  float sky = 0.5 + 0.5 * n.y;
  vec3 light = vec3(1.0, 0.975, 0.94) * key * 0.66 + vec3(0.85, 0.93, 1.0) * (fill * 0.16 + sky * 0.2) + 0.13;
#if PAINT != 3
  // Walls that face the middle of the piece lie in the shade of the rest.
  vec3 arm = (place - body.xyz) / body.w;
  float inwards = -dot(own.xy, arm.xy) / max(length(arm.xy), 1e-3);
  float deep = 1.0 - smoothstep(0.15, 0.8, length(arm));
  float shade = 1.0 - slender * (0.34 * smoothstep(0.0, 0.8, inwards) + 0.3 * deep * smoothstep(-0.5, 0.3, inwards));
  light *= mix(shade, 1.0, 0.6 * flatter);
#endif
  light = mix(light, vec3(0.72 + 0.34 * n.z), 0.8 * flatter);
  float across = 1.0 - max(0.0, dot(n, v));
  float rim = across * across * across * max(0.0, n.y * 0.8 + 0.2);
  vec3 lit = colour * light + rim * 0.12 * (1.0 - flatter);
#if PAINT == 3
  lit += 0.25 * pow(max(0.0, dot(reflect(-v, n), vec3(-0.408, 0.766, 0.510))), 14.0);
#endif
  // A thin dark outline where the surface turns away.
  lit = mix(lit, ink, 0.5 * smoothstep(0.72, 0.99, across));

#ifdef GOING
  float stripe = fract((gl_FragCoord.x + gl_FragCoord.y) / (9.0 * density));
  float hatch = smoothstep(0.0, 0.1, stripe) * (1.0 - smoothstep(0.4, 0.5, stripe));
  vec3 tint = going * (0.55 + 0.45 * light);
  lit = mix(lit, mix(tint, lit, 0.15), 0.6 + 0.4 * hatch);
  gl_FragColor = vec4(shown(lit), opacity * (0.62 + 0.38 * hatch));
#else
  gl_FragColor = vec4(shown(lit), 1.0);
#endif
}
`;

/** A material for solid things; `noise` and `ramp` pictures are made once for a piece. */
export function solidMaterial(shared: Shared, pictures: Pictures): ShaderMaterial {
  return new ShaderMaterial({
    vertexShader: VERTEX,
    fragmentShader: FRAGMENT,
    side: FrontSide,
    defines: { PAINT: PAINT.wood },
    uniforms: {
      ...shared,
      plain: { value: new Color() },
      early: { value: new Color(...PALE_WOOD.early) },
      late: { value: new Color(...PALE_WOOD.late) },
      scale: { value: new Vector3(0, 1, 1) },
      body: { value: new Vector4(0, 0, 0, 30) },
      slender: { value: 1 },
      ink: { value: new Color() },
      going: { value: new Color() },
      opacity: { value: 1 },
      cuts: { value: pictures.cuts },
      ramp: { value: pictures.ramp },
      noise: { value: pictures.noise },
    },
  });
}

/** Sets what is compiled into a material; nothing is compiled anew where nothing changes. */
export function define(material: ShaderMaterial, name: string, value: number | string | false): void {
  const now = material.defines[name] as number | string | undefined;
  if ((now ?? false) === value) return;
  if (value === false) delete material.defines[name];
  else material.defines[name] = value;
  material.needsUpdate = true;
}

export interface Pictures {
  readonly cuts: DataTexture;
  readonly ramp: DataTexture;
  readonly noise: Data3DTexture;
}

export function makePictures(): Pictures {
  const scale = row();
  for (let k = 0; k < 256; k++) writeColour(scale, k, ramp(k / 255));
  scale.magFilter = scale.minFilter = LinearFilter;
  return { cuts: row(), ramp: scale, noise: noise() };
}

/** Writes one colour into a row of 256, as shown light: even steps of 8 bits to the eye. */
export function writeColour(picture: DataTexture, index: number, colour: Colour): void {
  const data = picture.image.data as Uint8Array;
  if (index >= 256) return;
  colour.forEach((light, channel) => {
    const shown = light <= 0.0031308 ? 12.92 * light : 1.055 * Math.pow(light, 1 / 2.4) - 0.055;
    data[4 * index + channel] = Math.round(255 * shown);
  });
  data[4 * index + 3] = 255;
  picture.needsUpdate = true;
}

function row(): DataTexture {
  const picture = new DataTexture(new Uint8Array(4 * 256), 256, 1, RGBAFormat, UnsignedByteType);
  picture.magFilter = picture.minFilter = NearestFilter;
  picture.wrapS = picture.wrapT = ClampToEdgeWrapping;
  picture.needsUpdate = true;
  return picture;
}

/** A block of smooth noise that fits to itself on all sides; the same in every run. */
function noise(): Data3DTexture {
  const size = 32;
  const data = new Uint8Array(size ** 3);
  let state = 0x2545f491;
  for (let k = 0; k < data.length; k++) {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    data[k] = (state >>> 8) & 0xff;
  }
  const picture = new Data3DTexture(data, size, size, size);
  picture.format = RedFormat;
  picture.type = UnsignedByteType;
  picture.magFilter = picture.minFilter = LinearFilter;
  picture.wrapS = picture.wrapT = picture.wrapR = RepeatWrapping;
  picture.unpackAlignment = 1;
  picture.needsUpdate = true;
  return picture;
}
