"""Sentences and rows that commands print and pages show alike."""
