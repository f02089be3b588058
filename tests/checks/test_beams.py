"""Beams against printed figures, against a general finite-element library, and by integration in another way."""

from __future__ import annotations

import doctest
import itertools
import math

import numpy as np
import pytest
from skfem import Basis, ElementLineHermite, ElementLineP1, ElementLineP2, MeshLine, asm, condense, solve
from skfem.assembly import BilinearForm, LinearForm
from skfem.helpers import dd
from support.published import Published

from capacity import units
from capacity.checks import beams
from capacity.checks.beams import (
    HANDBOOK_FACTORS,
    Ends,
    Layer,
    LineLoad,
    Section,
    composite_section,
    deflection,
    nested_sag,
    patch_factors,
    rectangle_inertia,
    round_inertia,
    round_section,
    two_span_sag,
)
from capacity.closet.materials import materials
from capacity.units import MM_PER_INCH, MPA_PER_PSF, MPA_PER_PSI, NEWTONS_PER_POUND

STIFF = 1e30  # a shear stiffness that leaves shear out


def rectangle_section(modulus: float, shear_modulus: float, breadth: float, height: float) -> Section:
    """A solid board lying flat; A' = 5/6 b h."""
    return Section(modulus * rectangle_inertia(breadth, height), shear_modulus * 5 / 6 * breadth * height)


def test_examples_in_the_docstrings() -> None:
    for module in (beams, units):
        assert doctest.testmod(module).failed == 0


# ---- published ----------------------------------------------------------------------------------------

AWS = "Architectural Woodwork Standards, 1st ed. 2009, section 10, 4.4.14.10.11-13: longest adjustable shelf, L/144"
LENGTHS = [
    # material, thickness [in], load [psf], printed longest length [in]
    ("softwood plywood", 0.75, 40, "40"),
    ("softwood plywood", 0.75, 50, "37"),
    ("softwood plywood", 1.0, 40, "53"),
    ("softwood plywood", 1.0, 50, "49"),
    ("hardwood plywood", 0.75, 40, "49"),
    ("hardwood plywood", 0.75, 50, "46"),
    ("hardwood plywood", 1.0, 40, "66"),
    ("hardwood plywood", 1.0, 50, "61"),
    ("red oak", 0.75, 40, "49"),
    ("red oak", 0.75, 50, "46"),
    ("red oak", 1.0, 40, "66"),
    ("red oak", 1.0, 50, "61"),
]


@pytest.mark.parametrize(("material", "thickness", "load", "printed"), LENGTHS)
def test_the_longest_shelf_is_the_printed_one(material: str, thickness: float, load: float, printed: str) -> None:
    """The table rounds down to whole inches; 45.98 alone is printed as 46. Shear is left out, as in the table."""
    section = Section(rectangle_section(materials()[material].modulus, 1, 25.4, thickness * MM_PER_INCH).bending, STIFF)

    def over(length: float) -> float:
        force = load * MPA_PER_PSF * 25.4 * length
        return deflection(HANDBOOK_FACTORS["uniform, both ends supported"], force, length, section) - length / 144

    low, high = 100.0, 5000.0
    for _ in range(100):
        low, high = ((low + high) / 2, high) if over((low + high) / 2) < 0 else (low, (low + high) / 2)
    assert math.floor(low / MM_PER_INCH + 0.05) == int(printed), AWS


HANDBOOK = "Wood Handbook FPL-GTR-190, Table 9-1"


@pytest.mark.parametrize(
    ("case", "kb", "ks"),
    [
        ("uniform, both ends supported", (5, 384), (1, 8)),
        ("uniform, both ends clamped", (1, 384), (1, 8)),
        ("middle load, both ends supported", (1, 48), (1, 4)),
        ("middle load, both ends clamped", (1, 192), (1, 4)),
        ("two quarter-point loads, both ends supported", (11, 768), (1, 8)),
        ("uniform, cantilever", (1, 8), (1, 2)),
        ("end load, cantilever", (1, 3), (1, 1)),
    ],
)
def test_factors_are_those_of_the_handbook(case: str, kb: tuple[int, int], ks: tuple[int, int]) -> None:
    assert HANDBOOK_FACTORS[case] == (kb[0] / kb[1], ks[0] / ks[1]), HANDBOOK


@pytest.mark.parametrize(("span", "printed"), [(600, "1.514"), (800, "3.588"), (1000, "7.009")])
def test_mdf_shelf_of_the_industry_page(span: float, printed: str) -> None:
    """MDF industry page: d = 5 W L^3/(32 E b t^3) with E = 2500 N/mm2, b = 300 mm; 20 kg, t = 18 mm, g = 9.81.

    The equation and E are published; the three figures were computed from them by hand.
    """
    section = Section(rectangle_section(2500, 1, 300, 18).bending, STIFF)
    sag = deflection(HANDBOOK_FACTORS["uniform, both ends supported"], 20 * 9.81, span, section)
    assert Published(printed, "European MDF industry information page").agrees(sag)
    assert sag == pytest.approx(5 * 20 * 9.81 * span**3 / (32 * 2500 * 300 * 18**3))


def test_centre_load_solved_for_the_modulus() -> None:
    """Record, The Mechanical Properties of Wood (1914): E = P L^3/(4 D b h^3)."""
    section = Section(rectangle_section(9000, 1, 50, 40).bending, STIFF)
    sag = deflection(HANDBOOK_FACTORS["middle load, both ends supported"], 700, 900, section)
    assert 700 * 900**3 / (4 * sag * 50 * 40**3) == pytest.approx(9000)


def test_continuous_over_a_middle_support() -> None:
    """Beam tables (AISC Manual, AWC Design Aid 6): w L^4/(185 E I)."""
    section = Section(1e9, STIFF)
    factor = 1 / (two_span_sag(1, 1000, section) * 1e9 / 1000**4)
    assert Published("185", "AISC Manual, AWC Design Aid 6").agrees(factor)
    assert Published("184.6", "the same before rounding, by hand").agrees(factor)
    assert Published("0.026", "0.415/16, by hand").agrees(384 / (5 * factor) / 16)


@pytest.mark.parametrize(
    ("diameter", "wall", "inertia", "sags"),
    [
        # steel tubes and dowels; sag [in] at 12 lb/ft over 36, 48, 72, 96 in: computed by hand
        (1.0625, 0.035, "0.01493", ("0.051", "0.160", "0.808", "2.55")),
        (1.25, 0.049, "0.03339", ("0.023", "0.071", "0.361", "1.14")),
        (1.3125, 0.065, "0.04969", ("0.015", "0.048", "0.243", "0.77")),
        (1.315, 0.133, "0.0873", ("0.009", "0.027", "0.138", "0.44")),
    ],
)
def test_tubes_derived_by_hand(diameter: float, wall: float, inertia: str, sags: tuple[str, ...]) -> None:
    own = round_inertia(diameter, diameter - 2 * wall)
    assert Published(inertia, "pi (D^4 - d^4)/64 by hand").agrees(own)
    section = Section(29e6 * MPA_PER_PSI * own * MM_PER_INCH**4, STIFF)
    for span, printed in zip((36, 48, 72, 96), sags, strict=True):
        sag = deflection((5 / 384, 1 / 8), span * NEWTONS_PER_POUND, span * MM_PER_INCH, section) / MM_PER_INCH
        assert Published(printed, "by hand").agrees(sag)


def test_a_poplar_pole_of_six_feet_bows_an_inch_and_a_half() -> None:
    """By hand: 72 in of 1 5/16 in poplar under 12 lb/ft sags 1.52 in at once."""
    section = Section(materials()["poplar"].modulus * round_inertia(1.3125 * MM_PER_INCH), STIFF)
    sag = deflection((5 / 384, 1 / 8), 72 * NEWTONS_PER_POUND, 72 * MM_PER_INCH, section) / MM_PER_INCH
    assert Published("1.52", "by hand").agrees(sag)


def test_nosing_strip_doubles_the_stiffness() -> None:
    """By hand: 3/4 x 1 1/2 oak (1.8) glued flush with the top of 11 1/4 x 3/4 plywood (1.2): 2.16 x a 12 in shelf."""
    board = Layer(1.2, 1, 11.25, 0.75, 0.0)
    strip = Layer(1.8, 1, 0.75, 1.5, -0.75)
    plain = composite_section([Layer(1.2, 1, 12, 0.75)])
    assert Published("2.16", "composite formula by hand").agrees(
        composite_section([board, strip]).bending / plain.bending
    )
    screwed = composite_section([board, strip], glued=False)
    assert screwed.bending == pytest.approx(1.2 * 11.25 * 0.75**3 / 12 + 1.8 * 0.75 * 1.5**3 / 12)


def test_boards_bars_and_tubes_by_hand() -> None:
    """Board 100 x 20 mm, bar of 40 mm, tube of 40 mm with a bore of 20 mm; E = 9000, G = 600 MPa.

    Board: I = 66,666.7 mm4, 5/6 of 2000 mm2. Bar: 125,663.7 mm4, 9/10 of 1256.64 mm2. Tube: 117,809.7 mm4, half of
    942.48 mm2.
    """
    for section, inertia, area in (
        (rectangle_section(9000, 600, 100, 20), 66_666.667, 2000 * 5 / 6),
        (round_section(9000, 600, 40), 125_663.706, 0.9 * 1256.63706),
        (round_section(9000, 600, 40, 20), 117_809.725, 0.5 * 942.477796),
    ):
        assert section.bending == pytest.approx(9000 * inertia)
        assert section.shear == pytest.approx(600 * area)


def test_layers_shear_side_by_side_and_bend_about_their_common_axis() -> None:
    """100 x 20 mm of E 9000, G 600 on 50 x 10 mm of E 18000, G 900: by hand, wherever the level is measured from.

    Weights 18e6 and 9e6 N, centres 20 and 5 mm over the lowest edge: the axis is at 15 mm. E I = 9000 (66,666.667 +
    2000 x 25) + 18000 (4166.667 + 500 x 100) = 2.025e9 N mm2. G A' = 5/6 (600 x 2000 + 900 x 500) = 1.375e6 N.
    """
    for level in (0.0, -30.0, 7.5):
        layers = [Layer(9000, 600, 100, 20, level + 10), Layer(18000, 900, 50, 10, level)]
        glued, screwed = composite_section(layers), composite_section(layers, glued=False)
        assert glued.bending == pytest.approx(2.025e9)
        assert screwed.bending == pytest.approx(9000 * 66_666.667 + 18000 * 4166.667)
        assert glued.shear == pytest.approx(1.375e6) == screwed.shear
    with pytest.raises(ValueError, match="at least one layer"):
        composite_section([])


def test_what_resists_or_spans_nothing_is_refused_and_the_rest_is_not() -> None:
    for bending, shear in ((1, 0), (0, 1), (-1, 1), (1, -1)):
        with pytest.raises(ValueError, match="must resist bending and shear"):
            Section(bending, shear)
    for share in (-0.01, 1.01):
        with pytest.raises(ValueError, match="share of a span"):
            patch_factors(share, Ends.SUPPORTED)
    for bore in (-1, 10, 11):
        with pytest.raises(ValueError, match="does not fit"):
            round_inertia(10, bore)
    for span in (0, -1):
        with pytest.raises(ValueError, match="the span must be above 0"):
            two_span_sag(1, span, Section(1, 1))
    assert deflection((1, 1), 1, 0.5, Section(1, 1)) == 0.5**3 + 0.5
    assert two_span_sag(1, 0.5, Section(1, 1)) > 0
    assert round_inertia(1, 0.5) == pytest.approx(math.pi * 15 / 16 / 64)
    middle = "middle load, both ends"
    assert patch_factors(0, Ends.SUPPORTED) == HANDBOOK_FACTORS[f"{middle} supported"]
    assert patch_factors(0, Ends.CLAMPED) == HANDBOOK_FACTORS[f"{middle} clamped"]
    assert patch_factors(1, Ends.CLAMPED) == HANDBOOK_FACTORS["uniform, both ends clamped"]


def test_loads_side_by_side_by_hand() -> None:
    """Two equal loads that fill the span are one; a load of no length and one of no intensity are none."""
    section = Section(EI, GA)
    whole = deflection((5 / 384, 1 / 8), 0.5 * SPAN, SPAN, section)
    half = LineLoad(0.5, SPAN / 2)
    none = (LineLoad(9, 0), LineLoad(0, SPAN))
    assert nested_sag([half, half], SPAN, Ends.SUPPORTED, section) == pytest.approx(whole)
    assert nested_sag([half, *none, half], SPAN, Ends.SUPPORTED, section) == pytest.approx(whole)
    assert nested_sag([half], SPAN, Ends.CLAMPED, section) == pytest.approx(
        deflection(patch_factors(0.5, Ends.CLAMPED), 0.25 * SPAN, SPAN, section)
    )
    assert nested_sag([], SPAN, Ends.SUPPORTED, section) == 0


# ---- a general finite-element library -----------------------------------------------------------------

EI, GA, SPAN = 2.1e9, 4.0e5, 900.0  # a springy shelf whose shear counts


@BilinearForm
def _bending(u, v, w):  # type: ignore[no-untyped-def]
    return EI * dd(u)[0, 0] * dd(v)[0, 0]


def _bending_elements(load, clamped: tuple[bool, bool]) -> float:  # type: ignore[no-untyped-def]
    """Greatest bending deflection of a Hermite beam (scikit-fem), shear left out."""
    mesh = MeshLine(np.linspace(0, SPAN, 361))
    basis = Basis(mesh, ElementLineHermite(), intorder=8)
    force = asm(LinearForm(lambda v, w: load(w.x[0]) * v), basis)
    fixed = [basis.get_dofs(lambda x: x[0] == 0).all("u"), basis.get_dofs(lambda x: x[0] == SPAN).all("u")]
    for is_clamped, end in zip(clamped, (0.0, SPAN), strict=True):
        if is_clamped:
            fixed.append(basis.get_dofs(lambda x, end=end: x[0] == end).all("u_x"))
    found = solve(*condense(asm(_bending, basis), force, D=np.concatenate(fixed)))
    return float(np.max(found[basis.nodal_dofs[0]]))


def _shear_elements(load, clamped: tuple[bool, bool]) -> float:  # type: ignore[no-untyped-def]
    """Greatest deflection of a beam that shears (Timoshenko; sag quadratic, turn linear), by scikit-fem."""
    mesh = MeshLine(np.linspace(0, SPAN, 721))
    sags, turns = Basis(mesh, ElementLineP2(), intorder=4), Basis(mesh, ElementLineP1(), intorder=4)
    shear = BilinearForm(lambda u, v, w: GA * u.grad[0] * v.grad[0])
    mixed = BilinearForm(lambda u, v, w: -GA * u * v.grad[0])
    turn = BilinearForm(lambda u, v, w: EI * u.grad[0] * v.grad[0] + GA * u * v)
    from scipy.sparse import bmat

    stiffness = bmat(
        [[shear.assemble(sags), mixed.assemble(turns, sags)], [mixed.assemble(turns, sags).T, turn.assemble(turns)]]
    )
    force = np.concatenate([LinearForm(lambda v, w: load(w.x[0]) * v).assemble(sags), np.zeros(turns.N)])
    fixed = [sags.get_dofs(lambda x: x[0] == 0).all(), sags.get_dofs(lambda x: x[0] == SPAN).all()]
    for is_clamped, end in zip(clamped, (0.0, SPAN), strict=True):
        if is_clamped:
            fixed.append(turns.get_dofs(lambda x, end=end: x[0] == end).all() + sags.N)
    found = solve(*condense(stiffness.tocsr(), force, D=np.concatenate(fixed)))
    return float(np.max(found[: sags.N]))


@pytest.mark.parametrize(
    ("by_elements", "section", "error", "share"),
    [
        (_bending_elements, Section(EI, STIFF), 1e-6, 1.0),
        (_bending_elements, Section(EI, STIFF), 1e-6, 0.6),
        (_bending_elements, Section(EI, STIFF), 1e-6, 0.2),
        (_shear_elements, Section(EI, GA), 2e-4, 1.0),
        (_shear_elements, Section(EI, GA), 2e-4, 0.4),
    ],
)
@pytest.mark.parametrize("ends", list(Ends))
def test_one_span_agrees_with_finite_elements(  # type: ignore[no-untyped-def]
    by_elements, section: Section, error: float, share: float, ends: Ends
) -> None:
    low, high = SPAN * (1 - share) / 2, SPAN * (1 + share) / 2
    found = by_elements(lambda x: 0.5 * ((x >= low) & (x <= high)), (ends is Ends.CLAMPED,) * 2)
    ours = deflection(patch_factors(share, ends), 0.5 * share * SPAN, SPAN, section)
    assert ours == pytest.approx(found, rel=error)


@pytest.mark.parametrize(
    ("by_elements", "section", "error"),
    [(_bending_elements, Section(EI, STIFF), 1e-4), (_shear_elements, Section(EI, GA), 2e-4)],
)
def test_two_spans_agree_with_finite_elements(by_elements, section: Section, error: float) -> None:  # type: ignore[no-untyped-def]
    found = by_elements(lambda x: 0.5 + 0 * x, (False, True))
    assert two_span_sag(0.5, SPAN, section) == pytest.approx(found, rel=error)


# ---- the worst order of things ------------------------------------------------------------------------


def _sag_of_order(order: tuple[LineLoad, ...], section: Section) -> float:
    """Midspan sag of loads side by side from one end, by summing the influence of thin slices."""
    places = (np.arange(6000) + 0.5) / 6000 * SPAN
    loads = np.zeros_like(places)
    start = 0.0
    for load in order:
        loads[(places >= start) & (places < start + load.length)] = load.intensity
        start += load.length
    near = np.minimum(places, SPAN - places)
    influence = near * (3 * SPAN**2 - 4 * near**2) / (48 * section.bending) + near / (2 * section.shear)
    return float(np.sum(loads * influence) * SPAN / 6000)


def test_no_order_of_the_loads_sags_more_than_the_nested_one() -> None:
    section = Section(EI, GA)
    loads = (LineLoad(0.4, 200), LineLoad(0.1, 150), LineLoad(0.9, 100), LineLoad(0.25, 300))
    spread = LineLoad(0.0, SPAN - sum(load.length for load in loads))
    worst = nested_sag(loads, SPAN, Ends.SUPPORTED, section)
    orders = [_sag_of_order(order, section) for order in itertools.permutations((*loads, spread))]
    assert max(orders) < worst
    assert max(orders) > 0.95 * worst
    halves = [LineLoad(load.intensity, load.length / 2) for load in sorted(loads, key=lambda load: load.intensity)]
    nested = (LineLoad(0, spread.length / 2), *halves, *halves[::-1])
    assert _sag_of_order(nested, section) == pytest.approx(worst, rel=1e-3)


def test_loads_that_find_no_room_are_cut_off() -> None:
    section = Section(EI, GA)
    full = deflection((5 / 384, 1 / 8), 0.9 * SPAN, SPAN, section)
    assert nested_sag([LineLoad(0.9, 2 * SPAN), LineLoad(0.5, 100)], SPAN, Ends.SUPPORTED, section) == pytest.approx(
        full
    )


@pytest.mark.parametrize(
    "wrong", [lambda: Section(0, 1), lambda: patch_factors(1.5, Ends.CLAMPED), lambda: round_inertia(10, 10)]
)
def test_what_cannot_be_is_refused(wrong) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError, match=r"must|does not fit"):
        wrong()
    with pytest.raises(ValueError, match="the span must be above 0"):
        deflection((1, 1), 1, 0, Section(1, 1))
    with pytest.raises(ValueError, match="the span must be above 0"):
        two_span_sag(1, 0, Section(1, 1))
