"""The goals after stored value, each pursued without losing what came before: reach, room to spare, little panel.

`what_it_takes` asks the other way round: what would have to go, or grow, so that all the rest has a place.
"""

__all__ = ["later_goals", "roomier_layout", "what_it_takes"]
