"""Reading the closet: what each setting allows by itself, and what they allow together."""

from __future__ import annotations

import pytest

from capacity.closet.closet import parse_closet
from capacity.errors import InputError
from capacity.makeover.files_to_problem import size_problem
from capacity.units import PER_INCH, PER_MM
from capacity.wardrobe.inventory import parse_inventory

WALL = '[[wall]]\nname = "{0}"\nwidth = 60\ndepth = 15\n{1}'
BASE = "ceiling = 96\ntop = 84\n"


def _faults(text: str) -> list[str]:
    with pytest.raises(InputError, match=r"^closet") as caught:
        parse_closet(text)
    return [str(fault) for fault in caught.value.faults]


def _wall(name: str = "back", more: str = "") -> str:
    return WALL.format(name, more)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("ceiling = 96\ntop = 4\n" + _wall(), "top: 4\" leaves no room over the toe kick and two panels"),
        (BASE + _wall() + "[wishes]\nmax_shelf = 11\n", '[wishes] max_shelf: 11" is less than min_bay, 1\' 0"'),
        (BASE + _wall() + "[wishes]\nmax_rod = 11\n", '[wishes] max_rod: 11" is less than min_bay'),
        (BASE + _wall() + '[wishes]\nplay = -1\n', "[wishes] play"),
        (
            BASE + _wall() + "[wishes]\nplay = 50\n",
            '[wishes] play: 4\' 2" leaves 10" of the wall "back", less than the smallest bay',
        ),
        (BASE + _wall() + "[wishes]\ngap = 90\n", "[wishes] gap: 7' 6\" is more than a bay has between its panels"),
        (BASE + _wall() + "[wishes]\nhang_allowance = 90\n", "[wishes] hang_allowance: 7' 6\" is more than a bay has"),
        (
            BASE + _wall() + '[[wishes.must]]\nwhat = "coat"\nsize = "M"\n',
            "must 1, size: is not a setting that is known; take it out or correct its name",
        ),
        (
            BASE + _wall() + "[wishes]\nleast_opening = 90\n",
            '[wishes] least_opening: 7\' 6" is more than a bay has between its panels',
        ),
        (BASE + _wall() + "[wishes]\nleast_drawer = 90\n", "[wishes] least_drawer: 7' 6\" is more than a bay has"),
        (BASE + _wall() + "[wishes]\npitch = 90\n", "[wishes] pitch: 7' 6\" is more than a bay has between its panels"),
        (BASE + _wall() + "[construction]\nnosing = { thickness = 0.5, height = 0.5 }\n",
         "nosing, height: is less than the panel's thickness, so its edge would show"),
        (BASE + _wall() + '[[wishes.keep_to]]\nwall = "back"\n', "keep_to 1"),
        (BASE + _wall() + '[panel]\nprice = "cheap"\n', '[panel] price: "cheap" is not a price; write a number'),
        (BASE + _wall() + '[[season]]\nname = "x"\nstarts = "01-02"\n[[season]]\nname = "y"\nstarts = "01-02"\n',
         "[[season]] 2, starts:"),
        (BASE + _wall() + "[wishes]\nround = 13\n", '[wishes] round: 1\' 1" is more than min_bay, 1\' 0"'),
        (BASE + _wall() + "[wishes]\nhighest_drawer = 7\n", '[wishes] highest_drawer: 7" leaves no room for a drawer'),
        (BASE + _wall() + _wall(), '[[wall]] 2 "back": another wall has this name'),
        (BASE + _wall("a", 'corner = "b"\n'), '[[wall]] 1 "a", corner: "b" is not another wall; the others are: none'),
        (BASE + _wall("a", 'corner = "a"\n') + _wall("b"), 'corner: "a" is not another wall; the others are: "b"'),
        (
            BASE + _wall("a", 'corner = "c"\n') + _wall("b", 'corner = "c"\n') + _wall("c"),
            '[[wall]] 2 "b", corner: wall "a" already ends at the start of "c"',
        ),
        (BASE + _wall(more="ceiling = [98, 97]\n"), "both ends are above the ceiling of 8' 0\"; raise `ceiling`"),
        (
            BASE + _wall(more="[[wall.blocked]]\nleft = 50\nwidth = 11\nbottom = 0\nheight = 5\n"),
            'blocked 1: ends at 5\' 1", beyond the wall\'s 5\' 0"',
        ),
        (
            BASE + _wall(more="[[wall.blocked]]\nleft = 5\nwidth = 11\nbottom = 90\nheight = 7\n"),
            'blocked 1: ends at 8\' 1", above the ceiling',
        ),
        (BASE + "wall = 3\n", "wall: 3 cannot be used: expected a list"),
        (BASE + "wall = [3]\n", "wall"),
        (BASE + _wall() + "[wishes]\nowners_apart = 3\n", "owners_apart: 3 cannot be used: expected true or false"),
        (BASE + 'name = 3\n' + _wall(), "name: 3 cannot be used: expected a text in quotes"),
        (BASE + f'name = "{"x" * 201}"\n' + _wall(), "expected a text of at most 200 characters"),
        (BASE + _wall(""), "expected a text that is not empty"),
        (BASE + "a = " + "[" * 3000 + "]" * 3000 + "\n", "is not valid TOML: it is nested too deeply"),
        (BASE + "a = " + "9" * 5000 + "\n", "is not valid TOML: it is nested too deeply or has a number too long"),
    ],
)  # fmt: skip
def test_what_does_not_go_together_is_one_line(text: str, said: str) -> None:
    (line,) = _faults(text)
    assert said in line
    assert 'is "size" meant' not in line  # a name that is known, but not there, is not offered in its own place


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("width = 72 1/4", '; put the value in straight quotes: width = "72 1/4"'),
        ("width = 6'", '; put the value in straight quotes: width = "6\'"'),
        ("width = 72,5", '; put the value in straight quotes: width = "72,5"'),
        ("width = 6' 2\"", "; put the value in straight quotes: width = '6' 2\"'"),
        ("name = \u201cback\u201d", '; put the value in straight quotes: name = "back"'),
        ("owners_apart = yes", "; write owners_apart = true"),
        ("width = yes", "; width is not answered with yes or no: write its value, a text in straight quotes"),
        ("owners_apart = no # thanks", "; write owners_apart = false"),
    ],
)
def test_the_commonest_slips_of_the_pen_say_what_to_write(text: str, said: str) -> None:
    (line,) = _faults(f"{BASE}{text}\n")
    assert "closet.toml: is not valid TOML: " in line
    assert line.endswith(said)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (BASE.replace("top", "topp") + _wall(), 'take it out or correct its name; is "top" meant?'),
        (BASE + _wall() + "[wishes]\nmin_bai = 12\n", 'correct its name; is "min_bay" meant?'),
        (BASE + _wall() + "qqqq = 1\n", "take it out or correct its name"),
        (BASE + '[wall]\nname = "a"\nwidth = 40\ndepth = 15\n', "stands in single brackets: write [[wall]]"),
        (BASE + _wall() + "[wishes]\nspare = 15\n", "spare: 15 cannot be used: write the share, such as 0.15 for 15 %"),
    ],
)
def test_a_setting_that_is_nearly_right_says_what_is_meant(text: str, said: str) -> None:
    assert any(said in line for line in _faults(text))


def test_a_name_is_one_name_whichever_way_its_letters_are_typed() -> None:
    closet = parse_closet(
        BASE
        + _wall()
        + '[[person]]\nname = "Zoe\u0308"\nheight = 66\n[[wishes.keep_to]]\nwall = "back"\nowner = "Zoe\u0308"\n'
    )
    assert (closet.person[0].name, closet.wishes.keep_to[0].owner) == ("Zo\u00eb", "Zo\u00eb")


def test_faults_of_several_tables_come_together_and_in_order() -> None:
    lines = _faults(
        'units = "ell"\n' + BASE.replace("84", "true") + _wall() + "[wishes]\nspare = -1\nbudget = '3,00'\n"
    )
    assert [line.partition(": ")[0] for line in lines] == [
        "closet.toml, units", "closet.toml, top", "closet.toml, [wishes] spare", "closet.toml, [wishes] budget",
    ]  # fmt: skip


def test_room_is_rounded_down_and_need_up_and_the_least_width_counts() -> None:
    """1/3 in is 2709 1/3 ticks; a wall is as wide as its narrowest measure."""
    text = BASE + '[[wall]]\nname = "back"\nwidth = ["60 1/3", 61]\ndepth = "15 1/3"\n[panel]\nthickness = "1/3"\n'
    closet = parse_closet(text)
    assert closet.wall[0].clear_width == 60 * PER_INCH + 2709
    assert closet.wall[0].depth == 15 * PER_INCH + 2709
    assert closet.panel.thickness == 2710


def unit_of(units: str) -> int:
    return {"in": PER_INCH, "mm": PER_MM}[units]


def test_every_size_wish_can_be_switched_off() -> None:
    off = "[wishes]\nplay = 0\nleast_opening = 0\nleast_drawer = 0\nhighest_drawer = 0\nround = 0\npitch = 0\n"
    closet = parse_closet(BASE + _wall() + off)
    problem = size_problem(closet, parse_inventory("what,count\nhat,1\n", "in"))
    assert problem == problem.as_given
    assert problem.runs[0].kept_right == 0
    usual = size_problem(parse_closet(BASE + _wall()), parse_inventory("what,count\nhat,1\n", "in"))
    assert usual.as_given.rules == problem.rules
    assert usual.runs[0].kept_right == PER_INCH // 4
    assert usual.head_under(usual.runs[0], 84 * PER_INCH) == 84 * PER_INCH - PER_INCH // 2


def test_defaults_are_those_of_the_contract_in_either_system() -> None:
    """Toe kick 3, gap 1, hang allowance 4, bay 12, shelf 36, rod 48, corner 12 in; panel 23/32, rod 1 1/4 in."""
    millimetres = 'units = "mm"\nceiling = 2438.4\ntop = 2133.6\n[[wall]]\nname = "a"\nwidth = 1524\ndepth = 381\n'
    for text in (BASE + _wall(), millimetres):
        closet = parse_closet(text)
        wishes = closet.wishes
        lengths = (
            wishes.toe_kick, wishes.gap, wishes.hang_allowance, wishes.min_bay, wishes.max_shelf, wishes.max_rod,
            wishes.corner_access, closet.ceiling, closet.top, closet.wall[0].depth,
        )  # fmt: skip
        assert [length / PER_INCH for length in lengths] == [3, 1, 4, 12, 36, 48, 12, 96, 84, 15]
        assert (closet.panel.thickness, closet.rod.diameter) == (PER_INCH * 23 // 32, PER_INCH * 5 // 4)
        sizes = (wishes.play, wishes.least_opening, wishes.least_drawer, wishes.highest_drawer, wishes.round)
        usual = {"in": (0.25, 4, 4, 48, 1 / 16), "mm": (6, 100, 100, 1220, 1)}[closet.units]
        assert [size / unit_of(closet.units) for size in sizes] == list(usual)
        assert closet.under_ceiling / unit_of(closet.units) == {"in": 0.5, "mm": 12}[closet.units]
        assert (wishes.rows_deep, wishes.owners_apart, wishes.spare_share, closet.before) == (1, False, 0, ())
    assert PER_INCH * 10 == PER_MM * 254
