"""Limits on suggestions; `limits_parser.py` reads the one line that they are typed in."""
