"""Whether work that was logged is the work that a rule asks for."""

from logbook.text import fold

_STEM = 4  # letters of a word that count: rinse, rinsed, rinsing


def counts_for(rule_action: str, done: str) -> bool:
    """Whether the words of what was done hold the beginnings of all the words of a rule."""
    words = fold(done).split()
    stems = (word[:_STEM] for word in fold(rule_action).split())
    return all(any(word.startswith(stem) for word in words) for stem in stems)
