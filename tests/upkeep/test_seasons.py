"""The turn of a season: what is in use comes first, whole-year piles stay, and the swap list leads there and back."""

from __future__ import annotations

import datetime
from collections import Counter
from pathlib import Path

import icalendar
import pytest
from support.cases import built_bay, one_wall

from capacity.__main__ import main
from capacity.closet.closet import Closet, parse_closet
from capacity.errors import InputError
from capacity.layout.fit_rules import filling_violations
from capacity.makeover.files_to_problem import size_problem
from capacity.solver.effort import Effort
from capacity.upkeep.seasons import SeasonPlan, plan_seasons, season_names, turns
from capacity.upkeep.swap_calendar import format_calendar
from capacity.wardrobe.inventory import Inventory, parse_inventory

CLOSET = (
    one_wall(60)
    + built_bay("""
  { kind = "hang", bottom = 0, height = 60 }, { kind = "shelf", bottom = 61, height = 8 },
  { kind = "shelf", bottom = 84, height = 11 },
""")
    + """[[season]]
name = "Winter"
starts = "10-15"
[[season]]
name = "summer"
starts = "04-20"
"""
)
COUNT = """what,count,size,owner,use,season,drop,rod,width,depth,height
coat,8,,Ann,seasonal,winter,45,3,,,
midi dress,12,,Ann,weekly,Summer,45,2,,,
shirt,3,,Ben,daily,,36,2,,,
hat,2,,Ann,weekly,"winter, summer",,,12,12,5
sandals,3,,Ann,weekly,summer,,,9,11,5
"""


@pytest.fixture(scope="module")
def year() -> tuple[Closet, Inventory, tuple[SeasonPlan, ...]]:
    closet, inventory = parse_closet(CLOSET), parse_inventory(COUNT, "in")
    return closet, inventory, plan_seasons(closet, inventory, Effort())


Year = tuple[Closet, Inventory, tuple[SeasonPlan, ...]]


def test_what_is_in_use_comes_first_by_the_rules_of_filling(year: Year) -> None:
    closet, inventory, seasons = year
    assert season_names(closet, inventory) == (("summer", "04-20"), ("winter", "10-15"))
    problem = size_problem(closet, inventory).as_given
    held = {season.name: season.layout.stored() for season in seasons}
    assert not any(filling_violations(problem, season.layout) for season in seasons)
    assert (held["summer"][2], held["summer"][3]) == (12, 3)  # 24 + 6 in are the whole rod: no coat
    assert (held["winter"][1], held["winter"][3]) == (8, 3)  # 24 + 6 in again
    assert all(held[season][4] == 2 for season in held)


def test_each_pile_moves_once_and_the_year_closes(year: Year) -> None:
    _, inventory, seasons = year
    found = turns(seasons, inventory)
    assert [(turn.ends.name, turn.begins.name) for turn in found] == [("summer", "winter"), ("winter", "summer")]
    for turn in found:
        rows = [move.pile.row for move in turn.moves]
        assert len(rows) == len(set(rows))
        assert {3, 4}.isdisjoint(rows)  # what is used the whole year, or in both, stays
        assert all(sum(n for _, n in move.away) == sum(n for _, n in move.to) for move in turn.moves)
    there, back = ({move.pile.row: (move.away, move.to) for move in turn.moves} for turn in found)
    assert {row: (Counter(dict(to)), Counter(dict(away))) for row, (away, to) in there.items()} == {
        row: (Counter(dict(away)), Counter(dict(to))) for row, (away, to) in back.items()
    }
    assert {1, 2} <= set(there)


def test_where_bays_belong_to_owners_what_is_used_all_year_stays_too() -> None:
    """By hand: one bay of two shelves; Ben has three hats in them, and nothing of Ann may join."""
    bay = CLOSET[CLOSET.index("[[built]]") :]
    shelves = """openings = [{ kind = "shelf", bottom = 3, height = 12 }, { kind = "shelf", bottom = 16, height = 12 }]
"""
    apart = (
        CLOSET.replace(bay[bay.index("openings") : bay.index("[[season]]")], shelves)
        + "[wishes]\nowners_apart = true\n"
    )
    things = """what,count,owner,use,season,width,depth,height
hat,3,Ben,daily,,12,12,5
sandals,6,Ann,weekly,winter,9,11,5
sandals,1,Ann,weekly,summer,9,11,5
"""
    closet, inventory = parse_closet(apart), parse_inventory(things, "in")
    summer, winter = plan_seasons(closet, inventory, Effort())
    assert (summer.name, winter.name) == ("summer", "winter")
    assert summer.layout.stored() == winter.layout.stored() == {1: 3}


def test_the_calendar_is_read_back_with_its_days_and_lists(year: Year) -> None:
    closet, inventory, seasons = year
    text = format_calendar(turns(seasons, inventory), closet, datetime.date(2026, 5, 1))
    events = icalendar.Calendar.from_ical(text).walk("VEVENT")
    assert [event.decoded("dtstart") for event in events] == [datetime.date(2026, 10, 15), datetime.date(2027, 4, 20)]
    assert all(event["rrule"]["FREQ"] == ["YEARLY"] for event in events)
    assert "Ann's coat: 8 another place to 8 back A" in str(events[0]["description"])
    assert len({str(event["uid"]) for event in events}) == 2
    assert max(len(line) for line in text.split(b"\r\n")) <= 75  # RFC 5545, 3.1


def test_without_a_season_nothing_is_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "closet.toml").write_text(CLOSET)
    (tmp_path / "inventory.csv").write_text("what,count\nhat,1\n")
    assert main(["seasons", str(tmp_path)]) == 0
    assert "No pile names a season" in capsys.readouterr().out
    assert not (tmp_path / "seasons.ics").exists()
    (tmp_path / "inventory.csv").write_text(COUNT)
    assert main(["seasons", str(tmp_path)]) == 0
    said = capsys.readouterr().out
    assert "When winter begins, 2 piles move:" in said or "When winter begins, 3 piles move:" in said
    assert (tmp_path / "seasons.ics").exists()
    for season, holds in (("Winter", "8 in A of wall back"), ("summer", "8 have no place here")):
        main(["refill", str(tmp_path), "--season", season])
        capsys.readouterr()
        assert main(["where", str(tmp_path), "coat"]) == 0
        assert holds in capsys.readouterr().out
    assert main(["refill", str(tmp_path), "--season", "monsoon"]) == 2
    assert '"monsoon" is no season of the count; it has summer, winter' in capsys.readouterr().err


@pytest.mark.parametrize(
    ("season", "names"), [("Winter", ("winter",)), ("spring; fall/spring", ("spring", "fall")), ("whole year", ())]
)
def test_a_list_of_seasons_is_read(season: str, names: tuple[str, ...]) -> None:
    assert parse_inventory(f'what,count,season\nhat,1,"{season}"\n', "in").piles[0].seasons == names


def test_a_season_that_begins_on_no_day_is_one_line() -> None:
    with pytest.raises(InputError) as raised:
        parse_closet(CLOSET.replace("10-15", "13-40"))
    said = str(raised.value.faults[0])
    assert said.startswith('closet.toml, [[season]] 1 "Winter", starts: "13-40" is no day of the year; write month and')
