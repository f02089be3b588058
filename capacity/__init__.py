"""From a counted wardrobe to a closet layout in which everything fits, with proof.

`read` a folder, `fit` a layout, then `compare`, `check`, `draw` or `cut` it; what they say is told in `capacity.api`.
Each folder is a room and says in its `__init__` what is done there; DEVELOPERS.md has their order.
"""

TYPE_CHECKING = False  # typing and importlib take longer to load than all else here
if TYPE_CHECKING:
    from capacity.api import Makeover, check, compare, cut, draw, fit, read
    from capacity.checks.all_checks import Report
    from capacity.closet.closet import Closet
    from capacity.errors import InputError
    from capacity.makeover.comparison import Comparison
    from capacity.makeover.plan import Plan
    from capacity.solver.effort import Effort
    from capacity.wardrobe.inventory import Inventory

__version__ = "0.1.0"

__all__ = [
    "Closet",
    "Comparison",
    "Effort",
    "InputError",
    "Inventory",
    "Makeover",
    "Plan",
    "Report",
    "check",
    "compare",
    "cut",
    "draw",
    "fit",
    "read",
]

_HOMES = {
    "Closet": "closet.closet",
    "Comparison": "makeover.comparison",
    "Effort": "solver.effort",
    "InputError": "errors",
    "Inventory": "wardrobe.inventory",
    "Plan": "makeover.plan",
    "Report": "checks.all_checks",
}
"""Where a name comes from; what is not named here, from `api`."""


def __getattr__(name: str) -> object:
    """Load a public name when it is first asked for: `import capacity` alone loads nothing heavy."""
    if name not in __all__:
        msg = f"module 'capacity' has no attribute {name!r}"
        raise AttributeError(msg)
    import importlib

    value: object = getattr(importlib.import_module(f"capacity.{_HOMES.get(name, 'api')}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
