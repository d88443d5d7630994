"""The Upkeep page: what is due, what was done, wishes and small hardware.

Work is known by the beginnings of its words, so the form shows beside what is typed whether it
counts for a rule.
"""
