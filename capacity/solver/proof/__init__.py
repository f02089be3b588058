"""Closing the gap where a closet is small: branch and bound over the bays of one wall, or the whole as one program.

`stack_list`, `bay_list` and `bay_widths` list what is worth branching on, `node_relaxation` bounds a node,
`branch_and_bound` goes through the nodes; `whole_model` is the program that `whole` solves.
"""

__all__ = ["branch_and_bound", "whole"]
