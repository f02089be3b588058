"""What people own: kinds of things, their sizes and shapes, the inventory of a household, its tally.

A row of `inventory.csv` becomes a pile with the room that one piece takes, measured or from the catalogue of kinds.
Nothing here knows a wall, a shelf or a layout.
"""

__all__ = ["growth", "inventory", "inventory_edits", "kinds", "piece_dimensions", "piles", "size_text", "tally"]
