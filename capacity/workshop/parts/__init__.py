"""Every board of a layout as a part with its size, edges and joints, and the layout built up again from its parts.

Carcasses, kick, drawer boxes, strips and fillers each have a file; `reassembly` proves that the parts make the layout
to the tick. Nothing here knows a sheet.
"""

__all__ = ["carpentry", "drawer_boxes", "parts", "reassembly"]
