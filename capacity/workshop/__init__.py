"""What shop and workshop need: parts, sheets, shopping list, story sticks, order of work, the packet in print.

`job` gathers it all for one layout, `build_files` writes it. Of the solver only its counted effort is known here; a
layout is taken as it is and never bettered.
"""

__all__ = ["build_files", "build_record", "job", "packet", "printable", "shopping", "stock", "whole_sheets"]
