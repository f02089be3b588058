"""The catalogue of kinds: names, sizes, and the room that one piece takes."""

import subprocess
import sys
from fractions import Fraction
from itertools import pairwise
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from capacity.units import PER_INCH, PER_MM
from capacity.wardrobe import kinds as kinds_module
from capacity.wardrobe.clothing_sizes import ClothingSize
from capacity.wardrobe.kinds import Figures, HowKnown, Kind, Store, find_kind, kinds, nearest_kinds, parse_kind_size
from capacity.wardrobe.piece_dimensions import Shape, shape_of
from capacity.wardrobe.shoe_sizes import ShoeSize
from capacity.wardrobe.size_text import SizeError, Wearer

USUAL = {
    "stand": "flats;heels;sandals;slippers;sneakers;dress shoes;ankle boots;mid-calf boots;tall boots;"
    "western boots;work boots;kids shoes;kids boots;handbag;hat;storage bin;suitcase",
    "stack": "jeans;sweater;sweatshirt;t-shirt;shorts;leggings;pajamas;towel;sheet set;blanket",
    "hang": "shirt;blouse;jacket;suit;trousers;cuffed trousers;skirt;short dress;midi dress;long dress;"
    "coat;long coat;robe;kids top;kids dress",
    "drawer": "underwear;socks;swimwear;scarf;belt",
}
PROMISED = [(name, Store(store)) for store, names in USUAL.items() for name in names.split(";")]
EVERY_WAY = [(kind, store) for kind in kinds().values() for store in kind.stores]
LETTERED = [pair for pair in EVERY_WAY if pair[0].size_system in ("letter", "waist", "suit")]
STACKED = [kind for kind in kinds().values() if Store.STACK in kind.stores]
WAYS = [f"{kind.name} {store}" for kind, store in EVERY_WAY]
FOOTWEAR = [kind for kind in kinds().values() if kind.size_system == "shoe"]
LETTERS = ["XXS", "XS", "S", "M", "L", "XL", "XXL", "3XL", "4XL", "5XL"]


def figures_of(name: str, **changes: object) -> dict[str, object]:
    """A row of the catalogue as the file gives it, some cells changed."""
    row: dict[str, object] = {
        "name": name, "store": "hang", "family": "short hanging", "size_system": "letter", "middle_size": "M",
        "drop_in": "30", "rod_in": "1", "weight_kg": "0.3", "source": "a test", "how_known": "our proposal",
    }  # fmt: skip
    return {column: cell for column, cell in {**row, **changes}.items() if cell is not None}


def dimensions(shape: Shape) -> tuple[int, ...]:
    return shape.width, shape.depth, shape.height, shape.drop, shape.rod


# --- the file ---


def test_the_promised_kinds_are_all_listed_in_the_test() -> None:
    assert len(PROMISED) == len({name for name, _ in PROMISED}) == 47


@pytest.mark.parametrize(("name", "store"), PROMISED)
def test_every_promised_kind_is_there_with_its_usual_way(name: str, store: Store) -> None:
    kind = kinds()[name]
    assert kind.store is store
    assert kind.stores[0] is store
    assert find_kind(name) is kind


def test_what_the_catalogue_cannot_know_is_measured_and_nothing_else() -> None:
    assert [kind.name for kind in kinds().values() if not kind.stores] == ["other"]
    bare = figures_of("thing", store="stand", drop_in=None, rod_in=None, size_system="none", middle_size=None)
    assert Figures.model_validate({**bare, "measured_only": "yes"}).stores == ()
    with pytest.raises(ValidationError, match="no figures for stand"):
        Figures.model_validate(bare)


def test_the_words_are_no_trade_marks() -> None:
    assert {find_kind(word) for word in ("birkenstocks", "crocs", "levis", "uggs", "tupperware")} == {None}


def test_a_comforter_folds_to_a_shelf_of_15_inches() -> None:
    """Queen: 20 x 20 x 10 in as folded by habit, 4000 cubic in; it is soft."""
    shape = shape_of(kinds()["comforter"], None, Store.STACK)
    assert min(shape.width, shape.depth) <= 15 * PER_INCH
    assert shape.width * shape.depth * shape.height == pytest.approx(4000 * PER_INCH**3, rel=0.02)


def test_every_kind_says_where_its_figures_are_from() -> None:
    known = {
        "published", "computed", "common practice, no published source", "from memory", "our proposal",
    }  # fmt: skip
    assert set(get_args(HowKnown)) == known
    for kind in kinds().values():
        assert kind.how_known in known, kind.name
        assert len(kind.source) > 20, kind.name


def test_no_alias_belongs_to_two_kinds() -> None:
    owners: dict[str, set[str]] = {}
    for kind in kinds().values():
        for name in (kind.name, *kind.aliases):
            owners.setdefault(kinds_module._key(name), set()).add(kind.name)
    assert {key: names for key, names in owners.items() if len(names) > 1 or not key} == {}


def test_the_catalogue_keeps_its_order_and_cannot_be_changed() -> None:
    assert next(iter(kinds())) == "flats"
    assert kinds() is kinds()
    with pytest.raises(TypeError, match="does not support item assignment"):
        kinds()["boat"] = kinds()["hat"]  # type: ignore[index]


def test_loading_does_not_bring_in_pandas_or_the_solver() -> None:
    heavy = "{'pandas', 'ortools', 'streamlit'}"
    code = f"import sys, capacity.wardrobe.kinds as k; k.kinds(); print({heavy} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"how_known": "hearsay"}, "how_known"),
        ({"colour": "red"}, "Extra inputs are not permitted"),
        ({"rod_in": None}, "no rod_in"),
        ({"rod_in": "wide"}, "rod_in"),
        ({"rod_in": "0"}, r"rod_in\n.*must be above 0"),
        ({"store": "stack"}, "no figures for stack"),
        ({"thickness_in": "1"}, "no fold_width_in, fold_depth_in"),
        ({"stand_rule": "box"}, "no width_in, depth_in, height_in"),
        ({"stand_rule": "shoe"}, "no allow_length_mm"),
        ({"middle_size": None}, "no middle_size"),
        ({"weight_kg": "0"}, "weight_kg"),
        ({"most": "0"}, "most"),
    ],
)
def test_a_bad_row_is_refused(changes: dict[str, object], message: str) -> None:
    assert Figures.model_validate(figures_of("cape")).stores == (Store.HANG,)
    with pytest.raises(ValidationError, match=message):
        Figures.model_validate(figures_of("cape", **changes))


def test_a_name_that_stands_twice_is_refused() -> None:
    row = figures_of("cape")
    text = "\n".join([",".join(row), *[",".join(map(str, row.values()))] * 2])
    with pytest.raises(ValueError, match=r"kinds\.csv names cape twice"):
        kinds_module._read_kinds(text)


# --- names ---


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Tall Boots", "tall boots"), ("tall  boot", "tall boots"), ("TALL-BOOTS", "tall boots"),
        ("tee shirts", "t-shirt"), ("t shirts", "t-shirt"), ("T-Shirts", "t-shirt"),
        ("tshirt", "t-shirt"), ("Jeans ", "jeans"), ("jean", "jeans"),
        ("hoodie", "sweatshirt"), ("Hoodies", "sweatshirt"), ("long dresses", "long dress"),
        ("scarves", "scarf"), ("boxes", "storage bin"), ("Men's shirts", "shirt"),
        ("men\u2019s shirt", "shirt"), ("t\u2011shirt", "t-shirt"), ("flip flops", "sandals"),
        ("pants", "trousers"), ("mid calf boots", "mid-calf boots"), ("pyjamas", "pajamas"),
        ("purse", "handbag"), ("bin small", "small bin"),
    ],
)  # fmt: skip
def test_a_kind_is_found_under_what_people_call_it(text: str, name: str) -> None:
    kind = find_kind(text)
    assert kind is not None
    assert kind.name == name


@pytest.mark.parametrize("text", ["", " ", "???", "boots", "shoes", "dress", "sneeker", "x" * 10_000, "\0"])
def test_what_is_unknown_or_may_be_several_things_is_not_guessed(text: str) -> None:
    assert find_kind(text) is None


@pytest.mark.parametrize(
    ("text", "name"),
    [("sneeker", "sneakers"), ("boots", "tall boots"), ("dress", "midi dress"), ("trouser pant", "trousers")],
)
def test_the_nearest_kinds_are_named(text: str, name: str) -> None:
    assert name in nearest_kinds(text)
    assert nearest_kinds(text, 1) == nearest_kinds(text)[:1]


@given(st.text(min_size=1, max_size=300))
def test_there_is_always_a_nearest_kind(text: str) -> None:
    near = nearest_kinds(text)
    assert len(near) == len(set(near)) == 3
    assert set(near) <= set(kinds())


# --- sizes ---


@pytest.mark.parametrize("kind", kinds().values(), ids=lambda kind: kind.name)
def test_an_empty_size_is_the_middle_size(kind: Kind) -> None:
    size = parse_kind_size(kind, "  ")
    assert size == (parse_kind_size(kind, kind.middle_size) if kind.middle_size else None)
    for store in kind.stores:
        assert shape_of(kind, None, store) == shape_of(kind, size, store)


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        ("sneakers", "M", "is a clothing size; shoes take .*such as US M 10.5"),
        ("tall boots", "34x32", "is a clothing size; shoes take"),
        ("sweater", "US M 10.5", "is a shoe size; this takes M, XL"),
        ("jeans", "EU W 42", "is a shoe size; this takes waist x inseam"),
        ("handbag", "M", r"handbag has no sizes; measure it instead \(width, depth, height\)"),
        ("towel", "M", "this takes hand, bath or bath sheet"),
        ("kids top", "34x32", "this takes an age such as 6"),
    ],
)
def test_a_size_of_another_system_is_refused(name: str, text: str, message: str) -> None:
    with pytest.raises(SizeError, match=message):
        parse_kind_size(kinds()[name], text)


# --- room ---


@pytest.mark.parametrize(("kind", "store"), EVERY_WAY, ids=WAYS)
def test_every_way_has_room_of_its_own_sort_in_whole_sixteenths(kind: Kind, store: Store) -> None:
    shape = shape_of(kind, None, store)
    box, hung = dimensions(shape)[:3], dimensions(shape)[3:]
    given_, not_given = (hung, box) if store is Store.HANG else (box, hung)
    assert min(given_) > 0
    assert set(not_given) == {0}
    assert all(side % (PER_INCH // 16) == 0 and side <= 75 * PER_INCH for side in given_)
    assert shape.most == (kind.figures.most if store in (Store.STAND, Store.STACK) else 1)
    assert 0 < shape.weight_kg < 10


@pytest.mark.parametrize("kind", STACKED, ids=lambda kind: kind.name)
def test_a_stack_of_the_most_does_not_lean(kind: Kind) -> None:
    """12 in is the habit (common practice); one comforter is higher, and five sweaters a little."""
    shape = shape_of(kind, None, Store.STACK)
    high = {"comforter": 13, "sweater": 12.5}.get(kind.name, 12)
    assert shape.most * shape.height <= high * PER_INCH


@pytest.mark.parametrize("kind", kinds().values(), ids=lambda kind: kind.name)
def test_a_way_without_figures_is_refused(kind: Kind) -> None:
    for store in set(Store) - set(kind.stores):
        with pytest.raises(ValueError, match=f"no figures for {kind.name} stored by {store}; there are"):
            shape_of(kind, None, store)


def test_shoes_only_stand_and_garments_have_a_second_way() -> None:
    assert all(kind.stores == (Store.STAND,) for kind in FOOTWEAR)
    assert kinds()["shirt"].stores == (Store.HANG, Store.STACK, Store.DRAWER)
    assert kinds()["jeans"].stores == (Store.STACK, Store.DRAWER, Store.HANG)
    assert kinds()["underwear"].stores[0] is Store.DRAWER


@pytest.mark.parametrize(
    ("name", "size"), [("sneakers", ClothingSize(Fraction(0))), ("jeans", ShoeSize(Fraction(270), "men"))]
)
def test_a_size_of_another_system_has_no_shape(name: str, size: ShoeSize | ClothingSize) -> None:
    kind = kinds()[name]
    with pytest.raises(ValueError, match=f"is not a size of {name}"):
        shape_of(kind, size, kind.store)


def test_trousers_need_waist_and_inseam() -> None:
    with pytest.raises(ValueError, match="has no waist and inseam, which jeans needs"):
        shape_of(kinds()["jeans"], ClothingSize(Fraction(0)), Store.STACK)


@pytest.mark.parametrize("wearer", ["men", "women", "child"])
@pytest.mark.parametrize("kind", FOOTWEAR, ids=lambda kind: kind.name)
def test_a_longer_foot_never_takes_less_room(kind: Kind, wearer: Wearer) -> None:
    first, last = (80, 260) if wearer == "child" else (195, 350)
    feet = [ShoeSize(Fraction(foot), wearer) for foot in range(first, last + 1, 5)]
    shapes = [dimensions(shape_of(kind, foot, Store.STAND)) for foot in feet]
    assert all(side > 0 for side in shapes[0][:3])
    for small, large in pairwise(shapes):
        assert all(a <= b for a, b in zip(small, large, strict=True))
        assert small[1] < large[1]
    assert all(a < b for a, b in zip(shapes[0][:3], shapes[-1][:3], strict=True))


@pytest.mark.parametrize(("kind", "store"), LETTERED, ids=[f"{kind.name} {store}" for kind, store in LETTERED])
def test_a_larger_letter_never_takes_less_room(kind: Kind, store: Store) -> None:
    shapes = [dimensions(shape_of(kind, parse_kind_size(kind, text), store)) for text in LETTERS]
    for small, large in pairwise(shapes):
        assert all(a <= b for a, b in zip(small, large, strict=True))
    assert shapes[0] != shapes[-1] or kind.figures.hang_rule  # the length of trousers goes by inseam alone


@pytest.mark.parametrize(
    ("name", "store", "sizes"),
    [
        ("kids top", "hang", ["2", "4T", "6", "8", "12", "16"]),
        ("kids dress", "stack", ["2", "6", "12"]),
        ("sweater", "stack", ["4T", "8 y", "152 cm"]),
        ("jeans", "stack", ["4T", "8 y", "152 cm"]),
        ("cuffed trousers", "hang", ["30x28", "30x30", "30x34", "30x38"]),
        ("suit", "hang", ["38S", "38R", "38L"]),
        ("shirt", "hang", ["M", "MT"]),
    ],
)
def test_a_longer_size_takes_more_room(name: str, store: str, sizes: list[str]) -> None:
    kind = kinds()[name]
    shapes = [dimensions(shape_of(kind, parse_kind_size(kind, text), Store(store))) for text in sizes]
    for small, large in pairwise(shapes):
        assert sum(small) < sum(large)


@pytest.mark.parametrize(
    ("name", "sizes"),
    [("towel", ["hand", "bath", "bath sheet"]), ("sheet set", ["twin", "full", "queen", "king"])],
)
def test_a_larger_textile_is_thicker_and_heavier(name: str, sizes: list[str]) -> None:
    kind = kinds()[name]
    shapes = [shape_of(kind, parse_kind_size(kind, text), Store.STACK) for text in sizes]
    assert [s.height for s in shapes] == sorted({s.height for s in shapes})
    assert [s.weight_kg for s in shapes] == sorted({s.weight_kg for s in shapes})


def test_letters_widen_by_half_an_inch_and_thicken_by_a_twentieth() -> None:
    kind = kinds()["sweater"]  # 11 x 13 x 2 1/2 in at M
    shape = shape_of(kind, parse_kind_size(kind, "XL"), Store.STACK)
    assert (shape.width, shape.depth, shape.height) == (12 * PER_INCH, 13 * PER_INCH, 11 * PER_INCH // 4)


def test_a_shirt_grows_an_inch_a_letter_and_two_when_tall() -> None:
    kind = kinds()["shirt"]  # 38 in at M
    drops = [shape_of(kind, parse_kind_size(kind, text), Store.HANG).drop for text in ("M", "L", "LT")]
    assert drops == [38 * PER_INCH, 39 * PER_INCH, 41 * PER_INCH]


def test_a_childs_garment_is_its_share_of_the_figures_by_stature() -> None:
    top, sweater = kinds()["kids top"], kinds()["sweater"]
    drop = shape_of(top, ClothingSize(Fraction(0), stature_mm=Fraction(1450)), Store.HANG).drop
    assert drop == 30 * PER_INCH  # 24 in at 1160 mm, times 1450/1160
    folded = shape_of(sweater, ClothingSize(Fraction(0), stature_mm=Fraction(850)), Store.STACK)
    assert (folded.width, folded.depth) == (11 * PER_INCH // 2, 13 * PER_INCH // 2)  # half of 1700 mm
    assert folded.height == shape_of(sweater, None, Store.STACK).height


def test_room_is_rounded_up_never_down() -> None:
    kind = kinds()["kids shoes"]  # 180 mm: depth 198 mm, 7.795 in, between 124 and 125 sixteenths
    shape = shape_of(kind, ShoeSize(Fraction(180), "child"), Store.STAND)
    assert shape.depth == 125 * PER_INCH // 16
    assert 198 * PER_MM < shape.depth < 198 * PER_MM + PER_INCH // 16


def test_the_wearer_of_the_size_wins_over_the_kinds_usual_one() -> None:
    flats = kinds()["flats"]  # women 8 mm narrower than the foot, men 3 mm wider
    women = shape_of(flats, ShoeSize(Fraction(250), "women"), Store.STAND)
    men = shape_of(flats, ShoeSize(Fraction(250), "men"), Store.STAND)
    assert shape_of(flats, ShoeSize(Fraction(250), None), Store.STAND) == women
    assert men.width > women.width
