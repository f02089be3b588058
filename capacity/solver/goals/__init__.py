"""The goals after stored value, each pursued without losing what came before: few places, reach, room to spare.

`what_it_takes` asks the other way round: what would have to go, or grow, so that all the rest has a place.
"""

__all__ = ["later_goals", "places", "roomier_layout", "sizes", "what_it_takes"]
