"""Which pieces go into openings that already stand: exact, greedy, from a pool of patterns; and the capacity multiple.

An opening's height and width are given here and stay; what is proven is proven for these openings.
"""

__all__ = ["best", "capacity_multiple", "exact", "greedy", "patterns", "program"]
