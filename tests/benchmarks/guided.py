"""Hostile texts for one reader, led by what they reach in the code; needs atheris, which is not installed with us.

    pip install atheris && python tests/benchmarks/guided.py lengths -runs=200000

The options after the reader's name are those of libFuzzer; a text that does harm is printed and ends the run.
"""

from __future__ import annotations

import sys
from pathlib import Path

import atheris  # type: ignore[import-not-found, unused-ignore]

sys.path.insert(0, str(Path(__file__).parents[1]))

with atheris.instrument_imports(include=["capacity"]):
    from readers import good_plan, readers, wrong_with


def main() -> None:
    """Feed one reader; libFuzzer ends the process."""
    name, *options = sys.argv[1:]
    reader = {reader.name: reader for reader in readers(good_plan())}[name]

    def feed(data: bytes) -> None:
        text = data.decode("utf-8", "ignore")
        wrong = wrong_with(reader, text)
        if wrong:
            print(f"{wrong}: {text!r}")
            raise AssertionError(wrong)

    atheris.Setup([sys.argv[0], *options], feed)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
