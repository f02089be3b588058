"""Every reader of what a person or a disk hands in, fed hostile texts: it reads, or says in one line what is wrong."""

from __future__ import annotations

import io
import random
import signal
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from support.hostile import mutated

from capacity.closet.closet import parse_closet
from capacity.disk.files import HIDDEN
from capacity.disk.folder_swap import NAME as BUILD
from capacity.disk.folder_swap import require_ours
from capacity.errors import Fault, InputError
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.plan import format_plan, read_plan
from capacity.makeover.refilled import last_contents, read_refilled
from capacity.many.journal import Journal
from capacity.solver.best_so_far import read_best
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan
from capacity.solver.progress import read_progress
from capacity.solver.proof.prove import main as check_proof
from capacity.units import LONGEST, LengthError, Rounding, format_length, parse_length
from capacity.upkeep.counts import DayCount, format_counts, parse_counts
from capacity.upkeep.letting_go import Going, format_going, parse_going
from capacity.wardrobe.inventory import format_inventory, parse_inventory
from capacity.wardrobe.shoe_sizes import ShoeSize
from capacity.wardrobe.size_text import EXAMPLES, SizeError
from capacity.wardrobe.sizes import parse_size
from capacity.workshop.build_record import read_build

SAMPLES = Path(__file__).parents[2] / "inventory_samples"
SLOWEST = 5.0
"""No text of a few thousand letters takes so long to read or refuse [s of this process]."""
LONGEST_LINE = 2000
"""No message is longer [characters]."""


@dataclass(frozen=True, slots=True)
class Reader:
    """One reader: what it may raise, good texts to start from, and what it does with one text."""

    name: str
    refusals: tuple[type[Exception], ...]
    seeds: tuple[str, ...]
    read: Callable[[str], object]


def _length(text: str) -> None:
    for units in ("in", "mm"):
        ticks = parse_length(text, units, Rounding.UP)  # type: ignore[arg-type]
        assert 0 <= ticks <= LONGEST
        again = parse_length(format_length(ticks, units), units, Rounding.UP)  # type: ignore[arg-type]
        assert again == ticks, (ticks, again)


def _size(text: str) -> None:
    refused: list[SizeError] = []
    pairs = [(system, wearer) for system in EXAMPLES for wearer in ("men", "women", "child", None)]
    for system, wearer in pairs:
        try:
            size = parse_size(text, system, wearer)
        except SizeError as error:
            refused.append(error)
        else:
            assert not isinstance(size, ShoeSize) or 50 <= size.foot_mm <= 400
    if len(refused) == len(pairs):
        raise refused[0]


def _inventory(text: str) -> None:
    inventory = parse_inventory(text, "in")
    again = parse_inventory(format_inventory(inventory), "in")
    assert again.piles == inventory.piles
    assert again.cells == inventory.cells


def _closet(text: str) -> None:
    size_problem(parse_closet(text), parse_inventory("what,count\nsneakers,1\n", "in"))


def _refill(path: Path) -> None:
    read_refilled(path.parent.parent, SMALL)
    last_contents(path.parent.parent, SMALL, size_problem(SMALL, parse_inventory("what,count\nsneakers,3\n", "in")))


def _proof(path: Path) -> None:
    """A plan whose proof is spoiled; what the command says, it prints."""
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
        check_proof([str(path.parent)])


def _packet(path: Path) -> None:
    """Read by the page, and by whoever writes the next one."""
    require_ours(path.parent.parent)
    read_build(path.parent.parent)


def _file(read: Callable[[Path], Any], name: str = "plan.json") -> Callable[[str], None]:
    place = Path(tempfile.mkdtemp(dir="/dev/shm" if Path("/dev/shm").is_dir() else None)) / name
    place.parent.mkdir(exist_ok=True)

    def call(text: str) -> None:
        place.write_bytes(text.encode("utf-8", "surrogatepass"))
        try:
            read(place)
        finally:
            place.unlink()

    return call


LENGTHS = (
    "14", "14.5", "14 1/2", '14-1/2"', "3' 2 1/2\"", "3 ft 2.5 in", "368 mm", "36.8 cm", "36,8 cm", "1.5 m", "23/32",
    "3'-2 1/2\"", "½", "5 ft", "1 1/4", "0", "1000",
)  # fmt: skip
SIZES = (
    "US M 10.5", "US W 8", "UK 7", "EU 42", "270 mm", "34x32", "M", "XXL", "2T", "queen", "bath", "40R", "W34 L32",
    "women's 8", "EU 38", "kids 10",
)  # fmt: skip
CSVS = (
    "what,count,size,owner,use,store,label\nsneakers,4,US M 10.5,Ann,daily,,\njeans,12,34x32,,,stack,blue\n",
    "what;count;width;depth;height\r\nhat;3;12;12;6\r\nshirt;5;;;\r\n",
    '\ufeffwhat\tcount\tdrop\trod\n"long dress"\t3\t55\t1 1/2\n',
    "count,what,note\n3,towel,\"a\nb\"\n",
)  # fmt: skip
BEST = (
    '{"schema":"capacity.best/1","units":"in","inputs":"","stored":9,"corners":["back"],"walls":[{"name":"back","bays":'
    '[{"left":0.75,"width":30,"depth":15,"openings":[{"kind":"shelf","bottom":3.75,"height":12,"holds":[{"row":1,'
    '"count":3,"turned":false}]}]}]}]}'
)
SMALL = parse_closet("ceiling = 96\ntop = 84\n[[wall]]\nname = 'back'\nwidth = 40\ndepth = 15\n")
REFILL = BEST.replace("capacity.best/1", "capacity.refill/1").replace('"corners":["back"]', '"stands":"before"')
PACKET = (
    '{"schema":"capacity.build/1","units":"in","name":"x","revision":"0","files":["parts.json","packet.pdf"],'
    '"parts":[],"remarks":[],"sheets":{},"sticks":{},"shopping":{"currency":"$","lines":[],"sum":1.0,"tax":0,'
    '"reserve":0,"total":1.0,"is_partial":false,"budget":0,"is_over_budget":false,"likely":[1,2],"in_words":"x"}}'
)
HISTORY = format_counts((DayCount("2026-03-01", "built", 180, 170, 416, 400, 84, 94, -1),))
GOING = format_going((Going("Ann", "hat", "", "wool", "weekly", 1, 3, 2, "sell", 4),))
JOURNAL = '{"digest": "a", "result": {"row": {}}}\n{"digest": "b", "resu'
SHARES = {
    "lengths": 0.55, "sizes": 0.1, "inventories": 0.06, "closets": 0.06, "plans": 0.09, "progress": 0.07,
    "best so far": 0.02, "refills": 0.02, "packets": 0.01, "journals": 0.005, "proofs": 0.005,
    "histories": 0.005, "lists of what goes": 0.005,
}  # fmt: skip
"""How a number of cases is shared out: what is quick to read gets more."""


def good_plan() -> str:
    """The text of a plan, of which the plan reader's texts are made."""
    closet = parse_closet("ceiling = 96\ntop = 84\n[[wall]]\nname = 'back'\nwidth = 40\ndepth = 15\n")
    inventory = parse_inventory("what,count\nsneakers,4\nshirt,5\nsocks,3\n", "in")
    return format_plan(make_plan(closet, inventory, Effort(factor=0.1)))


def readers(plan: str = "{}") -> tuple[Reader, ...]:
    """All of them; `plan` is the text of a good plan."""
    closets = tuple(path.read_text(encoding="utf-8") for path in sorted(SAMPLES.glob("*/closet.toml")))
    small = 'ceiling = 96\ntop = 84\n[[wall]]\nname = "back"\nwidth = ["70 1/4", 70]\ndepth = 15\n'
    progress = '{"schema":"capacity.progress/1","state":"running","pid":1}'
    return (
        Reader("lengths", (LengthError,), LENGTHS, _length),
        Reader("sizes", (SizeError,), SIZES, _size),
        Reader("inventories", (InputError,), CSVS, _inventory),
        Reader("closets", (InputError,), (small, *closets), _closet),
        Reader("plans", (InputError,), (plan,), _file(lambda path: format_plan(read_plan(path)))),
        Reader("progress", (), (progress,), _file(read_progress)),
        Reader(
            "best so far", (), (BEST,), _file(lambda path: read_best(path.parent.parent, ""), f"{HIDDEN}/best.json")
        ),
        Reader(
            "refills",
            (),
            (REFILL,),
            _file(_refill, f"{HIDDEN}/refill.json"),
        ),
        Reader("journals", (InputError,), (JOURNAL,), _file(lambda path: Journal(path.parent), "journal.jsonl")),
        Reader("proofs", (), (plan,), _file(_proof)),
        Reader("histories", (InputError,), (HISTORY,), parse_counts),
        Reader("lists of what goes", (InputError,), (GOING,), parse_going),
        Reader("packets", (InputError,), (PACKET,), _file(_packet, f"{BUILD}/parts.json")),
    )


class TooSlowError(Exception):
    """A reader that did not come back in time."""


@contextmanager
def in_time(seconds: float) -> Iterator[None]:
    """Break off what takes longer than so much time of the processor."""

    def late(*_: object) -> None:
        raise TooSlowError

    old = signal.signal(signal.SIGVTALRM, late)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, old)


def wrong_with(reader: Reader, text: str) -> str:
    """What a reader does wrong with a text; empty when it reads it or refuses it as it should."""
    try:
        with in_time(SLOWEST):
            reader.read(text)
    except reader.refusals as error:
        faults = error.faults if isinstance(error, InputError) else (Fault("", "", str(error)),)
        for line in map(str, faults):
            if not line.strip() or len(line.splitlines()) != 1 or "\0" in line or "\x1b" in line:
                return f"the message is not one clean line: {line[:200]!r}"
            if len(line) > LONGEST_LINE:
                return f"the message has {len(line)} characters: {line[:80]!r}"
    except TooSlowError:
        return f"it took more than {SLOWEST} s"
    except Exception as error:
        return f"it raised {type(error).__name__}: {str(error)[:200]}"
    return ""


def fuzzed(reader: Reader, seed: int, cases: int) -> Iterator[tuple[str, str]]:
    """Every text of a seeded run with which a reader does something wrong, and what."""
    chance = random.Random(f"{reader.name} {seed}")
    for _ in range(cases):
        text = mutated(chance, reader.seeds)
        wrong = wrong_with(reader, text)
        if wrong:
            yield text, wrong


def giants() -> Iterator[tuple[str, str]]:
    """Texts as large or as deep as a file may be, by the name of the reader that gets them."""
    few = "ceiling = 96\ntop = 84\n[[wall]]\nname = 'back'\nwidth = 70\ndepth = 15\n"
    yield "closets", few + "x = " + "[" * 100_000
    yield "closets", few + "x = " + "{a = " * 50_000
    yield "closets", few + ".".join("a" * 50_000) + " = 1\n"
    yield "closets", few + "".join(f"[{'a.' * 500}b{number}]\n" for number in range(300))
    yield "closets", few.replace("70", "9" * 100_000)
    yield "closets", few.replace("70", "1e308")
    yield "closets", few.replace("70", "[" + "70, " * 8_000 + "]")
    yield "closets", few + "[[wall]]\nname = 'a'\nwidth = 70\ndepth = 15\n" * 4_000
    yield "closets", few + "[[before]]\nwall = 'back'\nleft = 0\nwidth = 9\ndepth = 9\nopenings = []\n" * 3_000
    yield "closets", few + "# " + "\u202e" * 300_000
    yield "closets", few + "x = '''" + "\n" * 900_000
    yield "inventories", "what,count\n" + "sneakers,1\n" * 100_000
    yield "inventories", "what,count\n" + "snaekers,1\n" * 100_000
    yield "inventories", "what,count\n" + "sneakers,1000000000\n" * 100_000
    yield "inventories", "what,count\n" + "\n" * 900_000
    yield "inventories", "what,count" + ",x" * 200_000 + "\nsneakers,1\n"
    yield "inventories", "what,count\n" + '"' * 500_001
    yield "inventories", "what,count\n" + "s" * 900_000 + ",1\n"
    yield "inventories", "what,count,label\nsneakers,1," + "e\u0301" * 100_000
    yield "plans", "[" * 500_000
    yield "plans", '{"schema":' * 100_000
    yield "plans", '{"seconds": ' + "9" * 500_000 + "}"
    yield "plans", '{"walls": [' + '{"name":"x","bays":[]},' * 30_000 + "]}"
    yield "progress", "[" * 500_000
    yield "lengths", "9" * 1_000_000
    yield "lengths", "1 " * 500_000
    yield "lengths", "1/" + "9" * 50
    yield "sizes", "M" * 1_000_000
    yield "sizes", "34x" * 300_000
