"""Planets and the Moon's surface: where they are, how they look, how the light falls."""
