"""Star widths over a focused frame.

`map.py` fits them: one-sided (tilt), alike all round (spacing, curvature), two-sided (tilt focused
in the middle, or astigmatism: one frame cannot distinguish them).
"""
