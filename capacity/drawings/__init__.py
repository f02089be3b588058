"""Plain shapes in real lengths, then thin writers that turn them into SVG, Plotly and DXF.

A drawing is a list of rectangles, lines and texts that a test can read; only the writers know a file format, and only
`to_plotly` knows Plotly. Nothing here computes what fits.
"""

__all__ = [
    "carcass_drawing",
    "drawing",
    "elevation",
    "gain_chart",
    "labels",
    "pile_drawing",
    "plan_drawing",
    "room_drawing",
    "solid",
    "text_places",
    "to_dxf",
    "to_glb",
    "to_plotly",
    "to_svg",
]
