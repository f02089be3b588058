"""A drawing as DXF in millimetres, where the library `ezdxf` is installed (`pip install capacity[dxf]`)."""

from __future__ import annotations

import importlib.util
import io
from typing import Any

from capacity.drawings.drawing import Dimension, Drawing, Line, Rectangle
from capacity.units import PER_MM


def is_available() -> bool:
    """Whether DXF can be written here."""
    return importlib.util.find_spec("ezdxf") is not None


def format_dxf(drawing: Drawing) -> bytes:
    """The bytes of a DXF file: one layer a style, lengths in mm; the same drawing gives the same bytes."""
    import ezdxf
    from ezdxf import options
    from ezdxf.enums import TextEntityAlignment

    kept = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True  # no time and no random number in the file
    try:
        document = ezdxf.new("R2010", units=4)
        space = document.modelspace()
        for shape in drawing.shapes:
            for line in shape.lines if isinstance(shape, Dimension) else (shape,):
                _add(document, space, line)
        for text in drawing.texts():
            for number, words in enumerate(text.words.split("\n")):
                down = (number - text.words.count("\n") / 2) * 1.25 * text.height
                x, y = (text.x + down, text.y) if text.turned else (text.x, text.y - down)
                attributes = {"height": text.height / PER_MM, "rotation": 90 if text.turned else 0, "layer": "text"}
                entity = space.add_text(_plain(words), dxfattribs=attributes)
                anchor = "middle" if text.turned else text.anchor
                align = {"left": "MIDDLE_LEFT", "middle": "MIDDLE_CENTER", "right": "MIDDLE_RIGHT"}[anchor]
                entity.set_placement((x / PER_MM, y / PER_MM), align=TextEntityAlignment[align])
        stream = io.StringIO()
        document.write(stream)
    finally:
        options.write_fixed_meta_data_for_testing = kept
    return stream.getvalue().encode("utf-8", "replace")


def _add(document: Any, space: Any, shape: object) -> None:
    if isinstance(shape, Line):
        points = [(shape.x1, shape.y1), (shape.x2, shape.y2)]
        is_closed = False
    elif isinstance(shape, Rectangle):
        box = shape.extent
        points = [(box.left, box.bottom), (box.right, box.bottom), (box.right, box.top), (box.left, box.top)]
        is_closed = True
    else:
        return
    layer = shape.style.value.replace(" ", "_")
    if layer not in document.layers:
        document.layers.add(layer)
    scaled = [(x / PER_MM, y / PER_MM) for x, y in points]
    space.add_lwpolyline(scaled, close=is_closed, dxfattribs={"layer": layer})


def _plain(words: str) -> str:
    """Text without the signs by which DXF starts a code, and without control characters."""
    return "".join(c if c.isprintable() else " " for c in words).replace("%%", "% %").replace("^", "ˆ")
