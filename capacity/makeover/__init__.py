"""The folder of a makeover as a whole: its files read and sized, plan.json, the comparison, new folders, variants.

Here inventory and closet become the problem in ticks, and a layout with its proof becomes plan.json and back. No layout
is searched for here, and nothing is drawn.
"""

__all__ = [
    "adoption",
    "budget",
    "comparison",
    "files_to_problem",
    "folder",
    "gain_for_money",
    "guide",
    "left_out",
    "new_folder",
    "plan",
    "plan_checks",
    "refilled",
    "samples",
    "saved_plan",
    "sizes_wanted",
    "what_must_be",
]
