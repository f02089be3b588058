"""Many closets, or many what-ifs about one: each is a task that is texts in and a plan out, done once and kept.

`varied_closets` makes the tasks of folders and of settings to vary, `solving` does one, `workers` many at once here or
on a cluster, `journal` keeps what is done, `results` is the table, the sheets cut together, and the frontier of pieces
against money, which `frontier_chart` draws.
"""

__all__ = ["frontier_chart", "journal", "results", "solving", "varied_closets", "workers"]
