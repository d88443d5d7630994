"""The trade's scales of seeing, each step with words beside its number, in this book's own words.

Antoniadi counts I best to V worst, Pickering 1 worst to 10 best by the look of a star in a small
aperture (common practice, no source).
"""

ANTONIADI = {
    1: "perfectly still",
    2: "still for seconds, a slight quiver between",
    3: "moderate, larger tremors",
    4: "poor, it heaves all the time",
    5: "very bad, hardly to be drawn",
}
PICKERING = {
    1: "a boiling blot, no rings",
    2: "a blot, a ring now and then",
    3: "as a blot, brighter in the middle",
    4: "a disc seen often, arcs of rings",
    5: "a disc always, arcs of rings",
    6: "a disc always, short arcs that last",
    7: "a sharp disc at times, rings nearly whole",
    8: "a sharp disc, whole rings that move",
    9: "the inner ring stands still",
    10: "disc and rings stand still",
}
OF_FIVE = {1: "very bad", 2: "poor", 3: "fair", 4: "good", 5: "excellent"}
_SCALES = {
    "seeing_antoniadi": ANTONIADI,
    "seeing_pickering": PICKERING,
    "seeing_of_five": OF_FIVE,
    "transparency_of_five": OF_FIVE,
}


def scale_words(quantity: str, value: float) -> str:
    """`moderate, larger tremors` for ("seeing_antoniadi", 3); "" for what has no such words."""
    steps = _SCALES.get(quantity, {})
    return steps.get(round(value), "")
