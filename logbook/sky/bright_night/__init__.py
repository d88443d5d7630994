"""What a bright night is good for.

`bright_night.py` puts the Moon's face, planets, pairs, a star for the star test and upkeep into one
list. Nothing within 20 degrees of the Sun is offered.
"""
