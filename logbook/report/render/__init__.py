"""One document (sections of words, facts, tables, plots, sketches) as text, Markdown, HTML and SVG.

HTML has no script and a policy that lets nothing in; text of the book is only ever escaped, other
pages are named by their command. Its heading comes first and landmarks follow, so there is nothing
to skip. axe-core looks at every kind of page in light, in dark and as printed.

Files beside the book are read by `pictures.py` alone, within bounds, and embedded as small pictures
without their metadata; what is gone or odd becomes a word. `svg_sketches.py` draws framings north
up, east left; no camera's angle is in a book, so the frame is laid as `sky/framing/mosaic.py`
suggests, and dashed.
"""
