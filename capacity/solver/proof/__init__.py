"""Closing the gap where a closet is small: branch and bound over the bays of one wall, or the whole as one program.

`stack_list`, `bay_list` and `bay_widths` list what is worth branching on, `node_relaxation` bounds a node,
`branch_and_bound` goes through the nodes; `whole_model` is the program that `whole` solves. `certificate` states what
was proven for others to check, with boxes of `branching` where prices alone prove less; `prove` checks it, a file to
carry away that imports nothing of the project.
"""

__all__ = ["branch_and_bound", "certificate", "prove", "whole"]
