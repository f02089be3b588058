"""Will it hold, go in, be reached: one file a question, each answer a `Check` with its source and cheapest cure.

Closed formulas (beams, passages) stand apart from the questions that use them. A check judges a finished layout, or the
walls where there is none yet, and never changes it; nothing here searches or writes.
"""

__all__ = ["all_checks", "cautions", "check", "floor_plan", "lamps", "sag_limits", "wall_gaps", "way_in"]
