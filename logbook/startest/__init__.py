"""The star test: measuring a defocused star, and learning and advising the screws of the secondary.

Results (`result.py`, `field/result.py`) are plain values without numpy.
"""
