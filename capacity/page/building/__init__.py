"""The step Build: what falls short and its cure, what to buy and to cut, the packet and single pages to take away.

The packet is made by a process of its own; this room starts it and shows what it wrote.
"""

__all__ = ["contents", "step"]
