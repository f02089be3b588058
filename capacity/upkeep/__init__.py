"""After the last screw: the folder goes on serving while a household lives with what was built.

Counts over the years, the gain that is beside the one that was promised, where each pile is, what the turn of a season
moves, what growing children will need, which shelves to move, and what is let go. What stands is taken as it is, from
`[[built]]` or else `[[before]]`; no board is planned anew here.
"""

__all__ = [
    "board_moves_in_words",
    "counts",
    "counts_chart",
    "growing",
    "letting_go",
    "measured",
    "promised",
    "put_away",
    "seasons",
    "swap_calendar",
    "where",
]
