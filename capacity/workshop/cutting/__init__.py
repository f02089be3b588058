"""Parts onto sheets and lengths: the least to buy, how to saw it in two stages, and what is needed at least.

Patterns are priced and chosen as a cutting-stock problem; `lower_bound` says what no cutting can do without. A part
is a rectangle here; nothing of closets is known.
"""

__all__ = ["cutting_plan", "least_cost", "saw_steps", "sheet_drawing"]
