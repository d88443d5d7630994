"""What a field of view holds: sizes, mosaics, field rotation.

Pictures of a frame go through `projection.py`, mirrored only in `field_contents.py`.
"""
