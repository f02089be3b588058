"""The step Compare: before and after beside each other, variants of the closet, and what re-spacing alone would bring.

Whatever is computed comes from `makeover/comparison` or from a search of its own; this room only shows it.
"""

__all__ = ["step"]
