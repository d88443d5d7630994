"""One drawing of a page: its size, its name, and what it shows in words."""

from html import escape

from logbook.text import clean


def svg(name: str, title: str, told: str, width: float, height: float, body: str) -> str:
    """An inline SVG; `name` makes the ids in it its own. Words are escaped, `body` is not."""
    return (
        f'<svg role="img" aria-labelledby="{name}-title {name}-told" '
        f'viewBox="0 0 {width:.0f} {height:.0f}" width="{width:.0f}" height="{height:.0f}">'
        f'<title id="{name}-title">{escape(clean(title))}</title>'
        f'<desc id="{name}-told">{escape(clean(told))}</desc>{body}</svg>'
    )
