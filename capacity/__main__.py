"""Where the command `capacity` begins: Ctrl-C ends it in one line even while the rest is still being loaded."""

import sys

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence

INTERRUPTED = 130
"""`capacity.errors` has it too, and would have to be loaded first."""


def main(arguments: "Sequence[str] | None" = None) -> int:
    """Run one command; returns the exit code."""
    try:
        from capacity.commands.command_line import run

        return run(arguments)
    except KeyboardInterrupt:
        print("interrupted", file=sys.stderr)
        return INTERRUPTED


if __name__ == "__main__":
    sys.exit(main())
