"""What was different between two nights, the likeliest cause first.

Each difference is turned into the width that it would add to star images by itself (sources stand
beside the constants), so that unlike things can be ranked; what would have worked against the
outcome counts a fifth. `tests/report/compare/pairs.py` plants causes from a model of its own.
"""
