"""The search for a layout: rule of thumb, dives from the relaxation, ruin and recreate (`bay_building`), respacing.

`design` runs them in turn within one effort and keeps the best; every layout that leaves this room has passed the
fit rules.
"""

__all__ = ["design", "design_on_rows", "ruin_and_recreate", "wall_parts"]
