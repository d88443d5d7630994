"""The kinds of objects in the catalogue, and the words people write for them."""

from functools import cache

from logbook.text import fold

KINDS = (
    "galaxy",
    "galaxy group",
    "open cluster",
    "globular cluster",
    "planetary nebula",
    "bright nebula",
    "HII region",
    "cluster with nebula",
    "reflection nebula",
    "supernova remnant",
    "dark nebula",
    "association",
    "star cloud",
    "asterism",
    "double star",
    "star",
)

# One word for several kinds. Which belong together is common practice, no source.
GROUPS = {
    "clusters": ("open cluster", "globular cluster", "cluster with nebula"),
    "emission nebulae": (
        "HII region",
        "bright nebula",
        "cluster with nebula",
        "supernova remnant",
        "planetary nebula",
    ),
    "nebulae": (
        "bright nebula",
        "HII region",
        "cluster with nebula",
        "reflection nebula",
        "supernova remnant",
        "planetary nebula",
    ),
}

_OTHER_WORDS = {
    "globulars": ("globular cluster",),
    "planetaries": ("planetary nebula",),
    "galaxy clusters": ("galaxy group",),
    "doubles": ("double star",),
    "remnants": ("supernova remnant",),
}


def plural(kind: str) -> str:
    """A kind as one writes of several: "planetary nebulae"."""
    if kind == "cluster with nebula":
        return "clusters with nebula"
    if kind.endswith("nebula"):
        return f"{kind}e"
    return f"{kind[:-1]}ies" if kind.endswith("y") else f"{kind}s"


@cache
def kind_words() -> dict[str, tuple[str, ...]]:
    """What may be written for kinds, folded, and the kinds meant."""
    words = {fold(name): kinds for name, kinds in (GROUPS | _OTHER_WORDS).items()}
    for kind in KINDS:
        words[fold(kind)] = (kind,)
        words[fold(plural(kind))] = (kind,)
    words["nebulas"] = words["nebula"] = GROUPS["nebulae"]
    words["cluster"] = GROUPS["clusters"]
    return words
