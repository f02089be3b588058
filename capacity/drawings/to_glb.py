"""Blocks as a binary glTF file at true scale, one mesh a style, for a phone that shows a model in the room.

Khronos glTF 2.0: metres, y up, the front towards +z; GLB is a header, a JSON chunk and a binary chunk.
"""

from __future__ import annotations

import json
import struct
from array import array
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

from capacity.drawings.drawing import Style
from capacity.drawings.solid import Block
from capacity.units import PER_MM

_FACES = (
    ((1, 0, 0), ((1, 0, 0), (1, 1, 0), (1, 1, 1), (1, 0, 1))),
    ((-1, 0, 0), ((0, 1, 0), (0, 0, 0), (0, 0, 1), (0, 1, 1))),
    ((0, 1, 0), ((1, 1, 0), (0, 1, 0), (0, 1, 1), (1, 1, 1))),
    ((0, -1, 0), ((0, 0, 0), (1, 0, 0), (1, 0, 1), (0, 0, 1))),
    ((0, 0, 1), ((0, 0, 1), (1, 0, 1), (1, 1, 1), (0, 1, 1))),
    ((0, 0, -1), ((0, 1, 0), (1, 1, 0), (1, 0, 0), (0, 0, 0))),
)
"""The six faces of a box: normal, and corners anticlockwise from outside, each 0 or 1 along x, y and z."""

_FLOAT, _UNSIGNED, _CORNERS, _INDICES = 5126, 5125, 34962, 34963


def format_glb(blocks: Iterable[Block], colours: Mapping[Style, str]) -> bytes:
    """The bytes of a `.glb` file.

    Parameters
    ----------
    blocks
        What to show [ticks].
    colours
        A colour such as `#d9b98a` by style; a style without one is left out.
    """
    by_style: dict[Style, list[Block]] = defaultdict(list)
    for block in blocks:
        if block.style in colours:
            by_style[block.style].append(block)
    binary = bytearray()
    views: list[dict[str, Any]] = []
    accessors: list[dict[str, Any]] = []
    primitives: list[dict[str, Any]] = []
    materials: list[dict[str, Any]] = []
    for style, own in by_style.items():
        points, normals, indices = _mesh(own)
        places = []
        for numbers, kind, width, target in (
            (points, _FLOAT, 3, _CORNERS), (normals, _FLOAT, 3, _CORNERS), (indices, _UNSIGNED, 1, _INDICES),
        ):  # fmt: skip
            views.append({"buffer": 0, "byteOffset": len(binary), "byteLength": 4 * len(numbers), "target": target})
            accessor: dict[str, Any] = {
                "bufferView": len(views) - 1, "componentType": kind, "count": len(numbers) // width,
                "type": "VEC3" if width == 3 else "SCALAR",
            }  # fmt: skip
            if numbers is points:
                accessor["min"] = [min(points[axis::3]) for axis in range(3)]
                accessor["max"] = [max(points[axis::3]) for axis in range(3)]
            places.append(len(accessors))
            accessors.append(accessor)
            binary += _little(numbers)
        red, green, blue = (int(colours[style][at : at + 2], 16) / 255 for at in (1, 3, 5))
        look = {"baseColorFactor": [_linear(red), _linear(green), _linear(blue), 1.0], "metallicFactor": 0.0}
        materials.append({"name": style.value, "pbrMetallicRoughness": look | {"roughnessFactor": 0.9}})
        attributes = {"POSITION": places[0], "NORMAL": places[1]}
        primitives.append({"attributes": attributes, "indices": places[2], "material": len(materials) - 1})
    told = {
        "asset": {"version": "2.0"}, "scene": 0, "scenes": [{"nodes": [0]}], "nodes": [{"mesh": 0, "name": "closet"}],
        "meshes": [{"primitives": primitives}], "materials": materials, "accessors": accessors, "bufferViews": views,
        "buffers": [{"byteLength": len(binary)}],
    }  # fmt: skip
    text = json.dumps(told, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    whole = 12 + 8 + len(text) + 8 + len(binary)
    head = struct.pack("<4sII", b"glTF", 2, whole) + struct.pack("<I4s", len(text), b"JSON")
    return head + text + struct.pack("<I4s", len(binary), b"BIN\0") + bytes(binary)


def _mesh(blocks: Iterable[Block]) -> tuple[array[float], array[float], array[int]]:
    """Corners and normals [m], y up, and the corners of each triangle."""
    points, normals, indices = array("f"), array("f"), array("I")
    for block in blocks:
        ends = (block.low, block.high)
        for normal, corners in _FACES:
            first = len(points) // 3
            for corner in corners:
                x, y, z = (ends[corner[axis]][axis] / PER_MM / 1000 for axis in range(3))
                points.extend((x, z, -y))
                normals.extend((normal[0], normal[2], -normal[1]))
            indices.extend(first + step for step in (0, 1, 2, 0, 2, 3))
    return points, normals, indices


def _little(numbers: array[float] | array[int]) -> bytes:
    return struct.pack(f"<{len(numbers)}{'f' if numbers.typecode == 'f' else 'I'}", *numbers)


def _linear(share: float) -> float:
    """A share of a colour as light: IEC 61966-2-1 (sRGB)."""
    return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4
