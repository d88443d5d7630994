"""The commands, each group beside its parser.

`cli.parser` asks `add_to` of each group. Nothing heavy is imported at the top of a module here: a
command imports what it needs when it runs.
"""
