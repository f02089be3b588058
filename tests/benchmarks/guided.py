"""Hostile texts for the readers, led by what they reach in the code; needs atheris, which is not installed with us.

    pip install atheris && nice -n 10 python tests/benchmarks/guided.py [lengths sizes ...] [--runs 100000] [--seed 1]

Each reader starts from its good texts. A text that reaches something new in `capacity` or in the TOML parser is kept
and changed further: every second time by our own mutations (`tests/support/hostile.py`), else by libFuzzer's. Prints
for each reader the texts tried, the branches reached by the good texts alone and in the end, and every kind of harm
once; exit 1 if there was any. `--corpus DIR` keeps the texts that reached something, to go on from, `--seconds` ends a
reader early. A reader that takes more than 2 GB, or 20 s over one text, ends there.
"""

from __future__ import annotations

import argparse
import json
import random
import re
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

NAMES = ("lengths", "sizes", "inventories", "closets", "plans", "progress")
LONGEST = 8000
"""No text tried is longer [bytes]."""


def feed(name: str, seed: int, place: Path, options: list[str]) -> None:
    """Try texts on one reader until libFuzzer ends this process; harm is written into `place`."""
    import atheris  # type: ignore[import-not-found, unused-ignore]

    with atheris.instrument_imports(include=["capacity", "tomllib"]):
        from support.hostile import mutated
        from support.readers import good_plan, readers, wrong_with

    reader = {reader.name: reader for reader in readers(good_plan())}[name]
    chance = random.Random(f"guided {name} {seed}")
    corpus, seen = place / "corpus", set[str]()
    corpus.mkdir(parents=True, exist_ok=True)
    for number, text in enumerate(reader.seeds):
        (corpus / f"good{number}").write_bytes(text.encode())

    def one(data: bytes) -> None:
        text = data.decode("utf-8", "ignore")
        wrong = wrong_with(reader, text)
        if wrong and wrong[:60] not in seen:
            seen.add(wrong[:60])
            with (place / "harm.jsonl").open("a", encoding="utf-8") as file:
                file.write(json.dumps([wrong, text]) + "\n")

    def change(data: bytes, most: int, _: int) -> bytes:
        if chance.random() < 0.5:
            return bytes(atheris.Mutate(data, most))
        kept = data.decode("utf-8", "ignore")
        return mutated(chance, (kept, kept, kept, *reader.seeds), most).encode("utf-8", "ignore")[:most]

    atheris.Setup([sys.argv[0], str(corpus), *options], one, custom_mutator=change)
    atheris.Fuzz()


def led(name: str, options: argparse.Namespace, place: Path) -> int:
    """Run one reader in a process of its own and print what came of it; returns the number of kinds of harm."""
    limits = [f"-runs={options.runs}", f"-max_total_time={options.seconds}", f"-seed={options.seed}"]
    limits += ["-rss_limit_mb=2048", "-timeout=20", f"-max_len={LONGEST}", "-print_final_stats=1"]
    limits += [f"-artifact_prefix={place}/"]
    inside = [sys.executable, __file__, name, "--seed", str(options.seed), "--inside", str(place), *limits]
    done = subprocess.run(inside, capture_output=True, text=True, errors="replace", check=False)
    reached = [int(number) for number in re.findall(r"^#\d+.* cov: (\d+)", done.stderr, re.MULTILINE)]
    first = re.search(r"INITED.* cov: (\d+)", done.stderr)
    texts = re.search(r"number_of_executed_units: (\d+)", done.stderr)
    memory = re.search(r"peak_rss_mb: +(\d+)", done.stderr)
    seconds = re.search(r"Done \d+ runs in (\d+) second", done.stderr)
    if done.returncode or not (first and texts and memory and seconds):
        print(f"{name}: ended with {done.returncode}\n{done.stderr[-3000:]}", flush=True)
        return 1
    harm = place / "harm.jsonl"
    found = [json.loads(line) for line in harm.read_text("utf-8").splitlines()] if harm.exists() else []
    print(
        f"{name}: {texts[1]} texts in {seconds[1]} s, {memory[1]} MB; {first[1]} branches at first, {max(reached)} at "
        f"last, {len(found)} kinds of harm",
        flush=True,
    )
    for wrong, text in found:
        print(f"  {wrong}: {text[:200]!r}", flush=True)
    return len(found)


def main() -> int:
    """Run the readers one after the other; returns the exit code."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("readers", nargs="*", default=NAMES, help=", ".join(NAMES))
    parser.add_argument("--runs", type=int, default=100_000)
    parser.add_argument("--seconds", type=int, default=0, help="limit for each reader; 0 for none")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--corpus", type=Path)
    parser.add_argument("--inside", type=Path, help=argparse.SUPPRESS)
    options, more = parser.parse_known_args()
    if options.inside:
        feed(options.readers[0], options.seed, options.inside, more)
    with tempfile.TemporaryDirectory() as folder:
        harm = [led(name, options, (options.corpus or Path(folder)) / name) for name in options.readers]
    return 1 if any(harm) else 0


if __name__ == "__main__":
    sys.exit(main())
