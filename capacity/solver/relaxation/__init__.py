"""The bound: column generation over bays, its pricing, and Lagrangian bounds from the prices.

Pricing goes from the inside out: `opening_knapsack` (one opening), `bay_pricing` (one bay of every width),
`wall_pricing` (the best row of bays), `master` (prices for the next round), `value_bound` (the bound, rounded down);
Nothing here builds a layout.
"""

__all__ = [
    "bay_pricing",
    "highs",
    "master",
    "opening_knapsack",
    "structure",
    "value_bound",
    "wall_pricing",
]
