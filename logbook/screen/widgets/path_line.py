"""Completing a path as it is typed. Names come from the disk and are only shown, never run."""

from pathlib import Path

_MOST = 2000  # names looked at in one folder


def complete_path(typed: str, *, folders_only: bool = False) -> tuple[str, int]:
    """`typed` as far as all names that begin so agree, and how many there are.

    A folder that is the only one gets its `/`. What cannot be read completes to itself.
    """
    at = typed.rfind("/") + 1
    head, tail = typed[:at], typed[at:]
    names = sorted(name for name in _names(head) if name.startswith(tail))
    if folders_only:
        names = [name for name in names if name.endswith("/")]
    if not tail:
        names = [name for name in names if not name.startswith(".")]
    if not names:
        return typed, 0
    agreed = _common(names[0], names[-1])
    return head + agreed, len(names)


def real_path(typed: str) -> Path:
    """The path that was typed, from the root; `~` is the user's home."""
    path = Path(typed.strip())
    try:
        return path.expanduser().absolute()
    except RuntimeError:  # no such home
        return path.absolute()


def _names(head: str) -> list[str]:
    try:
        found = []
        for path in real_path(head or ".").iterdir():
            found.append(f"{path.name}/" if path.is_dir() else path.name)
            if len(found) >= _MOST:
                break
        return found
    except (OSError, ValueError):
        return []


def _common(first: str, last: str) -> str:
    """What the first and the last of sorted names have in common, all between have."""
    length = 0
    for one, other in zip(first, last, strict=False):
        if one != other:
            break
        length += 1
    return first[:length]
