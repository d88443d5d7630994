"""The path of a photo: text that is saved as it was typed, and looked for but never opened."""

from pathlib import Path


def is_there(path: str) -> bool:
    """Whether a file lies there now. A path that cannot be one is not there."""
    try:
        return Path(path).expanduser().is_file()
    except (OSError, ValueError, RuntimeError):
        return False


def photo_remark(path: str) -> str:
    """What to say of a photo that isn't there; "" if it is."""
    return "" if is_there(path) else "no such photo there now; its path is kept"
