"""The goals after the stored value, in their order, each pursued without losing what came before.

Few places for each pile (`few_places`, by the program of `placing_program` and by `pile_search`), then little trouble
to reach things (`reach_order`), then few sizes to make (`few_sizes`, by the `assortment` problem), then room for more
of all (`roomier_layout`) or little panel. `later_goals` puts them in order and says what is proven of each;
`what_it_takes` asks the other way round: how much more a little more room would store.
"""

__all__ = ["few_places", "few_sizes", "later_goals", "roomier_layout", "what_it_takes"]
