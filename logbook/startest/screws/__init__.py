"""Which screw to turn next, how far, and when to stop.

`learner.py` takes in looks, turns and disturbances, event by event, and updates an estimate
(`estimate.py`): a Kalman filter over the offset and the response of each screw, in arcsec on the
sky so that any defocus joins, for a few hypotheses side by side (mirrored or not, careful or rough
hand, backlash). The prior is the plan of the screws (`prior.py`). A turn that misses its prediction
is doubted, not believed; `contradictions.py` replays tonight with one thing changed and asks.
`next_turn.py` plans one to three turns and proposes the first, or a turn to learn from; the sum of
all turns stays within a quarter. `stopping.py` decides when to stop, `adviser.py` puts it together.

A camera that is turned, another train or kind of file begins a new orientation: direction is
forgotten, size is not. Tuning constants stand at the head of each module; tune on other seeds than
those of `tests/startest/screws/test_learner.py`, whose telescopes are ray-traced (`two_mirror.py`).
"""
