"""From a counted wardrobe to a closet layout in which everything fits, with proof.

Each folder is a room and says in its `__init__` what is done there; DEVELOPERS.md has their order.
"""

__version__ = "0.1.0"
