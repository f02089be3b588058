"""The step Count: a tally with one big button a pile, saved at each tap, with CSV in and out.

A tile sends its running total of presses, never one press, so messages may be merged or come twice and no tap is
lost.
"""

__all__ = ["step"]
