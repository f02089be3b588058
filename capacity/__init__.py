"""From a counted wardrobe to a closet layout in which everything fits, with proof."""

__version__ = "0.1.0"
