"""One picture of a defocused star, measured or refused with what to do.

`measure.py` is the way through: `read.py` reads within bounds (header before pixels; `fits_file.py`
is the one module that opens FITS), `find_star.py` finds the disc on a shrunk copy, `ring.py` fits
both circles to edges along rays (`edges.py`, `circles.py`), `refusals.py` refuses in a fixed order,
`certainty.py` states the error.

x is the column, y the row as stored; the angle runs from +x toward +row; nothing is turned,
whatever a phone's header asks, because the sensor sits in the telescope. The edges are taken at 25
to 50 % of the ring's brightness: a sharp Fresnel edge asks for less, a blurred one or a picture
with a gamma curve for more; the disc comes out 2 % small in the median. The light in the middle of
the shadow then corrects its centre: alone it took a fifth off the error. Numbers were chosen on
pictures of other seeds than those the tests and `tests.bench_startest` use. A trail shorter than
about 0.35 of the radius does no harm and is measured.
"""
