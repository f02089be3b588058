"""The goals after the stored value, in their order, each pursued without losing what came before.

Few places for each pile (`places`, by the program of `placing_program` and by `pile_search`), then little trouble to
reach things (`reach_order`), then few sizes to make (`sizes`, by the `assortment` problem), then room for more of all
(`roomier_layout`) or little panel. `later_goals` puts them in order and says what is proven of each; `what_it_takes`
asks the other way round: how much more a little more room would store.
"""

__all__ = ["later_goals", "places", "roomier_layout", "sizes", "what_it_takes"]
