"""The bound: column generation over bays, its pricing, and Lagrangian bounds from the prices.

Pricing goes from the inside out: `opening_knapsack` (one opening), `height_knapsack` (openings one over the other),
`bay_pricing` (one bay of every width), `wall_pricing` (the best row of bays), `columns` (what was found, for the
master), `master` (prices for the next round), `value_bound` (the bound, rounded down).
`structure` says which bays are fixed already; `linear_program` and `highs` solve what is set up here and elsewhere.
Nothing here builds a layout.
"""

__all__ = [
    "bay_pricing",
    "columns",
    "height_knapsack",
    "highs",
    "linear_program",
    "master",
    "opening_knapsack",
    "structure",
    "value_bound",
    "wall_pricing",
]
