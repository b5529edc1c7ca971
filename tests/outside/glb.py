"""Reads a binary glTF of one primitive into arrays, by the words of the specification.

What other readers drop or change on the way (attributes of their own, linear colours,
the numbers before the node's transform) is here as it stands in the file.

Guarantee: every stretch of the binary chunk is read exactly once and none is left over.
"""

import json
import struct
from dataclasses import dataclass
from pathlib import Path

import numpy as np

TYPES = {5123: np.dtype("<u2"), 5125: np.dtype("<u4"), 5126: np.dtype("<f4")}
WIDTHS = {"SCALAR": 1, "VEC3": 3, "VEC4": 4}


@dataclass(frozen=True)
class Glb:
    """One primitive."""

    attributes: dict[str, np.ndarray]
    triangles: np.ndarray
    node: dict
    extras: dict
    left_over: int
    """Bytes of the binary chunk that nothing names."""


def read(file: Path) -> Glb:
    data = file.read_bytes()
    magic, version, whole, text_length, text_kind = struct.unpack_from("<4sIII4s", data)
    assert (magic, version, whole, text_kind) == (b"glTF", 2, len(data), b"JSON")
    document = json.loads(data[20 : 20 + text_length])
    length, kind = struct.unpack_from("<I4s", data, 20 + text_length)
    assert kind == b"BIN\0"
    begin = 28 + text_length
    chunk = memoryview(data)[begin : begin + length]
    assert begin + length == len(data)
    read_bytes = 0

    def numbers(index: int) -> np.ndarray:
        nonlocal read_bytes
        accessor = document["accessors"][index]
        view = document["bufferViews"][accessor["bufferView"]]
        assert "byteStride" not in view and accessor.get("byteOffset", 0) == 0
        read_bytes += view["byteLength"]
        offset = view["byteOffset"]
        array = np.frombuffer(
            chunk[offset : offset + view["byteLength"]], TYPES[accessor["componentType"]]
        )
        array = array.reshape(accessor["count"], WIDTHS[accessor["type"]])
        return array / 65535 if accessor.get("normalized") else array

    (mesh,) = document["meshes"]
    (primitive,) = mesh["primitives"]
    (node,) = document["nodes"]
    return Glb(
        attributes={name: numbers(index) for name, index in primitive["attributes"].items()},
        triangles=numbers(primitive["indices"]).reshape(-1, 3),
        node=node,
        extras=mesh["extras"],
        left_over=length - read_bytes,
    )
