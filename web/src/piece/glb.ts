/**
 * Reads the surface of a piece out of the binary glTF that our server writes.
 *
 * Only what the viewer draws is read: positions and normals, the cut that made each face,
 * thickness and value where they are there, and the triangles. Nothing is copied: the
 * numbers are views into the bytes that were handed in. The node's matrix is left aside,
 * so positions stay millimetres in the piece's own frame, z along the blank.
 *
 * Guaranteed: every triangle names vertices that exist, and all lists are of one length.
 * Not checked: that the surface is closed. Materials, colours, further meshes and further
 * primitives are passed over.
 */

/** One closed surface, all numbers in millimetres. */
export interface Surface {
  readonly title: string;
  /** x, y, z of each vertex. */
  readonly positions: Float32Array;
  /** Unit normals out of the wood, one for each vertex; sharp edges have two vertices. */
  readonly normals: Float32Array;
  /** For each vertex the number of the cut that made its face; 0 is the blank. */
  readonly cuts: Float32Array;
  /** Thickness of the wood under each vertex, mm. */
  readonly thickness: Float32Array | null;
  /** A further number for each vertex, such as stress. */
  readonly value: Float32Array | null;
  readonly valueName: string;
  readonly valueUnit: string;
  /** Three vertices for each triangle, anticlockwise seen from the air. */
  readonly indices: Uint32Array;
  /** Name of each cut, by its number. */
  readonly cutNames: readonly string[];
}

/** Bytes that are no surface of ours; the message says where and what was found. */
export class UnreadableMesh extends Error {
  override readonly name = "UnreadableMesh";
}

const MAGIC = 0x46546c67;
const JSON_CHUNK = 0x4e4f534a;
const BINARY_CHUNK = 0x004e4942;
const UNSIGNED_SHORT = 5123;
const UNSIGNED_INT = 5125;
const FLOAT = 5126;
const NUMBERS: Record<string, number> = { SCALAR: 1, VEC3: 3 };

interface Accessor {
  bufferView: number;
  byteOffset?: number;
  componentType: number;
  count: number;
  type: string;
}

interface Document {
  accessors?: Accessor[];
  bufferViews?: { byteOffset?: number; byteLength: number; byteStride?: number }[];
  meshes?: {
    name?: string;
    extras?: { cuts?: (string | { name: string })[]; value?: { name: string; unit: string } };
    primitives: { attributes: Record<string, number>; indices?: number; mode?: number }[];
  }[];
}

/** Reads the first primitive of the first mesh; throws {@link UnreadableMesh}. */
export function readSurface(bytes: ArrayBuffer): Surface {
  const { json, binary } = chunks(bytes);
  const mesh = json.meshes?.[0];
  const primitive = mesh?.primitives[0];
  if (!mesh || !primitive) throw new UnreadableMesh("The file holds no mesh.");
  if ((primitive.mode ?? 4) !== 4) {
    throw new UnreadableMesh(`The mesh is drawn in mode ${primitive.mode}; triangles (4) are read.`);
  }

  const floats = (name: string, type: string, count?: number): Float32Array | null => {
    const index = primitive.attributes[name];
    if (index === undefined) return null;
    const found = view(json, binary, index, name, type);
    if (!(found instanceof Float32Array)) {
      throw new UnreadableMesh(`${name} holds whole numbers; 32-bit floats are read.`);
    }
    if (count !== undefined && found.length !== count) {
      throw new UnreadableMesh(`${name} has ${found.length} numbers; ${count} vertices need as many.`);
    }
    return found;
  };

  const positions = floats("POSITION", "VEC3");
  if (!positions) throw new UnreadableMesh("The mesh has no POSITION.");
  const vertices = positions.length / 3;
  const normals = floats("NORMAL", "VEC3", positions.length);
  if (!normals) throw new UnreadableMesh("The mesh has no NORMAL.");
  if (primitive.indices === undefined) throw new UnreadableMesh("The triangles have no indices.");
  const indices = whole(view(json, binary, primitive.indices, "The indices", "SCALAR"));
  if (indices.length % 3 !== 0) {
    throw new UnreadableMesh(`There are ${indices.length} indices; a triangle has three.`);
  }
  let highest = -1;
  for (let i = 0; i < indices.length; i++) if (indices[i]! > highest) highest = indices[i]!;
  if (highest >= vertices) {
    throw new UnreadableMesh(`A triangle names vertex ${highest}; there are ${vertices}.`);
  }

  return {
    title: mesh.name ?? "",
    positions,
    normals,
    cuts: floats("_CUT", "SCALAR", vertices) ?? new Float32Array(vertices),
    thickness: floats("_THICKNESS", "SCALAR", vertices),
    value: floats("_VALUE", "SCALAR", vertices),
    valueName: mesh.extras?.value?.name ?? "",
    valueUnit: mesh.extras?.value?.unit ?? "",
    indices,
    cutNames: (mesh.extras?.cuts ?? []).map((cut) => (typeof cut === "string" ? cut : cut.name)),
  };
}

function chunks(bytes: ArrayBuffer): { json: Document; binary: Uint8Array } {
  if (bytes.byteLength < 20) {
    throw new UnreadableMesh(`The file has ${bytes.byteLength} bytes; even an empty one has 20.`);
  }
  const data = new DataView(bytes);
  const word = (at: number) => data.getUint32(at, true);
  if (word(0) !== MAGIC) throw new UnreadableMesh("The file does not begin with glTF.");
  if (word(4) !== 2) throw new UnreadableMesh(`The file is glTF ${word(4)}; version 2 is read.`);
  const length = word(8);
  if (length > bytes.byteLength) {
    throw new UnreadableMesh(`The file ends after ${bytes.byteLength} of ${length} bytes.`);
  }

  let json: Document | undefined;
  let binary: Uint8Array | undefined;
  for (let at = 12; at + 8 <= length; ) {
    const size = word(at);
    const kind = word(at + 4);
    if (at + 8 + size > length) {
      throw new UnreadableMesh(`The chunk at byte ${at} is ${size} bytes long and runs past the end.`);
    }
    const content = new Uint8Array(bytes, at + 8, size);
    if (kind === JSON_CHUNK && !json) {
      try {
        json = JSON.parse(new TextDecoder().decode(content)) as Document;
      } catch (cause) {
        throw new UnreadableMesh("The text of the file is no JSON.", { cause });
      }
    } else if (kind === BINARY_CHUNK && !binary) {
      binary = content;
    }
    at += 8 + size + ((4 - (size % 4)) % 4);
  }
  if (!json || !binary) throw new UnreadableMesh("The file lacks its text or its numbers.");
  return { json, binary };
}

/** The numbers of one accessor, as a view where they lie on a multiple of their size. */
function view(
  json: Document,
  binary: Uint8Array,
  index: number,
  name: string,
  type: string,
): Float32Array | Uint32Array | Uint16Array {
  const accessor = json.accessors?.[index];
  const stretch = accessor && json.bufferViews?.[accessor.bufferView];
  if (!accessor || !stretch) throw new UnreadableMesh(`${name} points at nothing.`);
  if (accessor.type !== type) {
    throw new UnreadableMesh(`${name} is of type ${accessor.type}; ${type} is read.`);
  }
  const Kind =
    accessor.componentType === FLOAT
      ? Float32Array
      : accessor.componentType === UNSIGNED_INT
        ? Uint32Array
        : accessor.componentType === UNSIGNED_SHORT
          ? Uint16Array
          : null;
  if (!Kind) {
    throw new UnreadableMesh(`${name} is made of component ${accessor.componentType}, which is not read.`);
  }
  const count = accessor.count * NUMBERS[type]!;
  const size = Kind.BYTES_PER_ELEMENT;
  if (stretch.byteStride !== undefined && stretch.byteStride !== size * NUMBERS[type]!) {
    throw new UnreadableMesh(`${name} is interleaved with other numbers, which is not read.`);
  }
  const inside = accessor.byteOffset ?? 0;
  const start = (stretch.byteOffset ?? 0) + inside;
  const bytes = count * size;
  if (inside + bytes > stretch.byteLength || start + bytes > binary.length) {
    throw new UnreadableMesh(`${name} needs ${bytes} bytes and runs past the end of the numbers.`);
  }
  const at = binary.byteOffset + start;
  const buffer = binary.buffer as ArrayBuffer;
  if (at % size === 0) return new Kind(buffer, at, count);
  return new Kind(buffer.slice(at, at + bytes));
}

function whole(list: Float32Array | Uint32Array | Uint16Array): Uint32Array {
  if (list instanceof Uint32Array) return list;
  if (list instanceof Uint16Array) return Uint32Array.from(list);
  throw new UnreadableMesh("The indices are floats; whole numbers are read.");
}
