"""Bays and openings in whole ticks, and the fit rules restated without a solver.

`problem` holds the facts, `layout` an answer; `fit_rules` says whether it keeps every rule and what it is worth.
Towers say how one pile stands in an opening. Nothing here searches, and no file of a folder is read here.
"""

__all__ = [
    "changes",
    "corners",
    "drawer_rule",
    "fit_rules",
    "fixed_boards",
    "layout",
    "needs",
    "problem",
    "reach_zones",
    "rod_height",
    "rows_of_holes",
    "sketches",
    "taking_over",
    "towers",
    "uprights",
]
