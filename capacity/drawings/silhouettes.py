"""What a piece looks like from the front, drawn within its own box: shapes that are told apart without colour.

Only the box is to scale; what is inside it is drawn by eye (our own shapes), so that a shirt reads as a shirt.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from capacity.drawings.drawing import Figure, Path, Style
from capacity.units import PER_INCH

_Shape = Callable[[int, int], Figure]

OVER_A_BAR = {"trousers", "cuffed trousers", "jeans", "leggings", "scarf", "tie", "belt", "towel", "blanket"}
"""Kinds that hang over the bar of a hanger, without shoulders."""

FLARED = {"short dress", "midi dress", "long dress", "gown", "skirt", "long skirt", "kids dress", "shorts"}
"""Kinds with a waist, wider at the hem."""

NARROW = 7 * PER_INCH // 4
"""What takes less of a rod is drawn without lines inside [ticks]."""

ROD_HALF = 0.8
"""How far the hook of a hanger stands over the middle of the rod [in]."""


def silhouette(kind: str, style: Style, width: int, height: int, is_turned: bool) -> Figure:
    """The figure of one piece (a pair for footwear) of a kind and family in a box [ticks].

    `is_turned` says that what stands is seen from its side.
    """
    if style in (Style.HUNG_SHORT, Style.HUNG_LONG):
        hung = _over_bar if kind in OVER_A_BAR else _flared if kind in FLARED else _on_hanger
        return hung(width, height)
    if style in (Style.FOOTWEAR, Style.BOOTS):
        side, front = (_shoe_side, _shoe) if style is Style.FOOTWEAR else (_boot_side, _boot)
        return side(width, height) if is_turned else _pair(front, width, height)
    if style is Style.BAGS:
        return _CARRIED.get(kind, _bin)(width, height)
    return _folded(width, height)


def lying(kind: str, style: Style, width: int, height: int) -> Figure:
    """The figure of a hung piece that lies on its side, its hem to the left [ticks]."""
    upright = silhouette(kind, style, height, width, is_turned=False)
    outlines = tuple(tuple((width - y, x) for x, y in path) for path in upright.outlines)
    return Figure(outlines, tuple(tuple((min(width, width - y), x) for x, y in path) for path in upright.strokes))


def standing_person(stature: int, reach: int) -> tuple[int, Figure]:
    """Somebody from the front with one hand at a height, as the width of the box and the figure in it [ticks].

    Stature and reach are true; the rest is drawn by eye. All outlines turn one way, so that none cuts into another.
    """
    s = stature
    wide, high = round(0.4 * s), max(s, reach)
    middle, hand = 0.19 * s, high / s

    def limb(*points: tuple[float, float]) -> Path:
        return _path(*_rounded([(middle + x * s, y * s) for x, y in points]))

    head = _path(*_arc(middle, 0.925 * s, 0.052 * s, 0.075 * s, 0, -340, 17))
    half = [
        (0.03, 0.88), (0.032, 0.845), (0.06, 0.828), (0.118, 0.808), (0.122, 0.76), (0.095, 0.66), (0.09, 0.6),
        (0.105, 0.52), (0.1, 0.36), (0.075, 0.25), (0.07, 0.12), (0.05, 0.035), (0.1, 0.0), (0.005, 0.0), (0.012, 0.2),
        (0.004, 0.3), (0.01, 0.46),
    ]  # fmt: skip
    body = limb(*half, (0, 0.47), *((-x, y) for x, y in reversed(half)))
    down = limb((-0.09, 0.7), (-0.13, 0.58), (-0.15, 0.39), (-0.175, 0.4), (-0.165, 0.6), (-0.14, 0.77), (-0.1, 0.812))
    up = limb(
        (0.09, 0.7),
        (0.1, 0.812),
        (0.15, 0.92),
        (0.165, 0.99),
        (0.162, hand),
        (0.195, hand),
        (0.205, 0.98),
        (0.19, 0.88),
    )
    return wide, Figure((down, up, body, head))


def padlock(size: int) -> Figure:
    """A closed padlock in a square box [ticks]."""
    w = size / 2

    def bow(reach: float) -> list[tuple[float, float]]:
        return _arc(w, w, reach, reach, 180, 0, 9)

    outer, inner = bow(0.72 * w), bow(0.42 * w)
    shackle = _path(*outer, *reversed(inner))
    return Figure((_path((0, 0), (0, w), (2 * w, w), (2 * w, 0)), shackle))


# ---- hung -----------------------------------------------------------------------------------------------


def _on_hanger(w: int, h: int) -> Figure:
    """Shoulders from the edge, as on a rod along the wall, the sleeve in front."""
    u = min(PER_INCH, h / 16)
    left = [*_arc(0.36 * w, h - 5 * u, 0.36 * w, 3 * u, 180, 90, 4)]
    body = _mirrored(w, [(0.05 * w, 0), (0.0, h * 0.3), *left])
    cuff = 0.36 * h
    sleeve = _path((0.3 * w, h - 3.2 * u), (0.24 * w, cuff), (0.76 * w, cuff), (0.7 * w, h - 3.2 * u))
    return Figure((body,), ((sleeve,) if w >= NARROW else ()) + _hook(w, h, h - 2 * u))


def _flared(w: int, h: int) -> Figure:
    u = min(PER_INCH, h / 16)
    left = [*_arc(0.4 * w, h - 4 * u, 0.26 * w, 2 * u, 180, 90, 3)]
    body = _mirrored(w, [(0.0, 0), (0.03 * w, 0.12 * h), (0.22 * w, 0.62 * h), *left])
    places = (0.28, 0.5, 0.72) if w >= NARROW else (0.5,)
    folds = (_path((x * w, 0.03 * h), ((0.5 + (x - 0.5) * 0.4) * w, 0.5 * h)) for x in places)
    waist = _path((0.22 * w, 0.62 * h), (0.78 * w, 0.62 * h))
    return Figure((body,), (*folds, waist, *_hook(w, h, h - 2 * u)))


def _over_bar(w: int, h: int) -> Figure:
    u = min(PER_INCH, h / 16)
    top = h - 3 * u
    bend = min(0.4 * w, top / 2)
    body = _mirrored(w, [(0.1 * w, 0), *_arc(0.5 * w, top - bend, 0.4 * w, bend, 180, 90, 4)])
    legs = _path((0.5 * w, 0), (0.5 * w, top - 1.2 * bend))
    hem = _path((0.1 * w, 0.05 * h), (0.5 * w, 0.05 * h))
    return Figure((body,), (legs, hem, *_hook(w, h, top)))


def _hook(w: int, h: int, neck: float) -> tuple[Path, ...]:
    return (_path((w / 2, neck), (w / 2, h + ROD_HALF * PER_INCH)),)


# ---- footwear, always a pair ----------------------------------------------------------------------------


def _pair(one: _Shape, w: int, h: int) -> Figure:
    half = w * 47 // 100
    first = one(half, h)
    shift = w - half
    outlines, strokes = (
        (*paths, *(_moved(path, shift, 0) for path in paths)) for paths in (first.outlines, first.strokes)
    )
    return Figure(outlines, strokes)


def _shoe(w: int, h: int) -> Figure:
    side = [
        (0.03 * w, 0),
        (0, 0.06 * h),
        (0, 0.3 * h),
        (0.05 * w, 0.52 * h),
        (0.14 * w, 0.68 * h),
        (0.19 * w, 0.8 * h),
        (0.2 * w, h),
    ]
    opening = _path(*_arc(0.5 * w, h, 0.3 * w, 0.16 * h, 180, 360, 6))
    laces = (_path(((0.5 - x) * w, y * h), ((0.5 + x) * w, y * h)) for x, y in ((0.16, 0.58), (0.14, 0.7)))
    return Figure((_mirrored(w, side),), (_sole(w, 0.14 * h), _toe_cap(w, 0.14 * h, 0.34 * h), opening, *laces))


def _boot(w: int, h: int) -> Figure:
    foot = min(4.5 * PER_INCH, 0.42 * h)
    side = [
        (0.03 * w, 0),
        (0.0, 0.2 * foot),
        (0.0, 0.4 * foot),
        (0.08 * w, 0.75 * foot),
        (0.2 * w, 1.1 * foot),
        (0.12 * w, h),
    ]
    band = h - 0.09 * h
    strokes = _sole(w, 0.18 * foot), _toe_cap(w, 0.18 * foot, 0.5 * foot), _path((0.14 * w, band), (0.86 * w, band))
    return Figure((_mirrored(w, side),), strokes)


def _shoe_side(w: int, h: int) -> Figure:
    toe = _arc(0.86 * w, 0.16 * h, 0.14 * w, 0.3 * h, 0, 90, 4)
    outline = _path(
        (0.01 * w, 0),
        (0.97 * w, 0),
        (w, 0.16 * h),
        *toe,
        (0.62 * w, 0.6 * h),
        (0.42 * w, h),
        (0.04 * w, h),
        (0, 0.5 * h),
    )
    laces = (_path((x * w, y * h), ((x + 0.08) * w, (y - 0.1) * h)) for x, y in ((0.44, 0.82), (0.53, 0.7)))
    return Figure((outline,), (_sole(w, 0.16 * h), *laces))


def _boot_side(w: int, h: int) -> Figure:
    foot = min(4.5 * PER_INCH, 0.42 * h)
    toe = _arc(0.84 * w, 0.25 * foot, 0.16 * w, 0.5 * foot, 0, 90, 4)
    outline = _path(
        (0.0, 0), (0.97 * w, 0), (w, 0.25 * foot), *toe, (0.56 * w, 1.1 * foot), (0.6 * w, h), (0.02 * w, h)
    )
    return Figure((outline,), (_sole(w, 0.2 * foot), _path((0.02 * w, 0.91 * h), (0.59 * w, 0.91 * h))))


def _sole(w: int, y: float) -> Path:
    return _path((0, y), (w, y))


def _toe_cap(w: int, low: float, high: float) -> Path:
    return _path(*_arc(0.5 * w, low, 0.34 * w, high, 180, 0, 8))


# ---- what lies or is carried ----------------------------------------------------------------------------


def _folded(w: int, h: int) -> Figure:
    """A slab with its fold at the right: the layers inside end before it."""
    fold, back = min(h / 2, w / 4), min(h / 5, w / 8)
    outline = _path(
        *_arc(back, back, back, back, 270, 180, 2), *_arc(back, h - back, back, back, 180, 90, 2),
        *_arc(w - fold, h / 2, fold, h / 2, 90, -90, 6),
    )  # fmt: skip
    layers = min(3, round(h / (1.6 * PER_INCH)))
    heights = [h * number / (layers + 1) for number in range(1, layers + 1)]
    return Figure((outline,), tuple(_path((0, y), (w - 1.2 * fold, y)) for y in heights))


def _bin(w: int, h: int) -> Figure:
    lid = min(1.6 * PER_INCH, 0.22 * h)
    outline = _mirrored(w, [(0.05 * w, 0), (0.02 * w, h - lid), (0, h - lid), (0, h)])
    y, tall = 0.62 * (h - lid), min(0.6 * PER_INCH, 0.07 * h)
    grip = _path((0.36 * w, y), (0.64 * w, y), (0.64 * w, y + tall), (0.36 * w, y + tall), (0.36 * w, y))
    return Figure((outline,), (_path((0.02 * w, h - lid), (0.98 * w, h - lid)), grip))


def _bag(w: int, h: int) -> Figure:
    top = 0.64 * h
    outline = _mirrored(w, [(0.06 * w, 0), (0.0, 0.08 * h), (0.12 * w, top)])
    handle = _path(*_arc(0.5 * w, top, 0.24 * w, h - top, 180, 0, 8))
    inner = _path(*_arc(0.5 * w, top, 0.18 * w, 0.8 * (h - top), 180, 0, 8))
    flap = _path((0.1 * w, 0.5 * h), (0.5 * w, 0.4 * h), (0.9 * w, 0.5 * h))
    return Figure((outline,), (handle, inner, flap))


def _suitcase(w: int, h: int) -> Figure:
    body, foot = 0.9 * h, 0.04 * h
    r = min(w, h) * 0.07
    side = [*_arc(r, foot + r, r, r, 270, 180, 2), *_arc(r, body - r, r, r, 180, 90, 2)]
    wheels = (_path((x * w, foot), (x * w, 0), ((x + 0.06) * w, 0), ((x + 0.06) * w, foot)) for x in (0.12, 0.82))
    handle = _path((0.38 * w, body), (0.38 * w, h), (0.62 * w, h), (0.62 * w, body))
    ribs = (_path((x * w, foot), (x * w, body)) for x in (0.25, 0.75))
    return Figure((_mirrored(w, side),), (*wheels, handle, *ribs))


def _hat(w: int, h: int) -> Figure:
    brim = 0.16 * h
    side = [
        (0.04 * w, 0),
        (0, 0.6 * brim),
        (0.05 * w, brim),
        (0.24 * w, brim),
        *_arc(0.4 * w, 0.7 * h, 0.14 * w, 0.3 * h, 180, 90, 4),
    ]
    return Figure(
        (_mirrored(w, side),),
        (_path((0.24 * w, 0.36 * h), (0.76 * w, 0.36 * h)), _path((0.24 * w, brim), (0.76 * w, brim))),
    )


_CARRIED: dict[str, _Shape] = {
    "handbag": _bag, "clutch": _bag, "backpack": _bag, "suitcase": _suitcase, "hat": _hat, "cap": _hat, "helmet": _hat,
    "pillow": _folded, "sleeping bag": _folded,
}  # fmt: skip
"""Bags and boxes that do not look like a bin with a lid."""


# ---- points ---------------------------------------------------------------------------------------------


def _path(*points: tuple[float, float]) -> Path:
    return tuple((round(x), round(y)) for x, y in points)


def _moved(path: Path, x: int, y: int) -> Path:
    return tuple((px + x, py + y) for px, py in path)


def _mirrored(w: int, left: list[tuple[float, float]]) -> Path:
    """A closed outline from its left side, from the bottom up."""
    return _path(*left, *((w - x, y) for x, y in reversed(left)))


def _rounded(corners: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """A closed outline with its corners cut off twice (Chaikin's curve)."""
    for _ in range(2):
        corners = [
            (x + (to_x - x) * share, y + (to_y - y) * share)
            for (x, y), (to_x, to_y) in zip(corners, [*corners[1:], corners[0]], strict=True)
            for share in (0.25, 0.75)
        ]
    return corners


def _arc(x: float, y: float, wide: float, high: float, begin: int, end: int, steps: int) -> list[tuple[float, float]]:
    """Points of an ellipse round (x, y) from one angle to another, 0 to the right and 90 up [degrees]."""
    angles = [math.radians(begin + (end - begin) * step / steps) for step in range(steps + 1)]
    return [(x + wide * math.cos(angle), y + high * math.sin(angle)) for angle in angles]
