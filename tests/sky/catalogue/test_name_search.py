"""Finding an object by any usual name, as one types."""

import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.errors import NotFound
from logbook.sky.catalogue.name_search import Entry, Finder, finder, normalise
from logbook.sky.catalogue.objects import SkyObject, bright_stars, deep_sky

FIRST = {
    # numbers, however they are written
    "m31": "NGC 224",
    "M 31": "NGC 224",
    "messier 8": "NGC 6523",
    "Messier 031": "NGC 224",
    "m102": "NGC 5866",
    "m45": "Mel 22",
    "ngc7000": "NGC 7000",
    "ngc 0253": "NGC 253",
    "NGC-891": "NGC 891",
    "ngc2244": "NGC 2244",
    "ngc 2239": "NGC 2244",
    "ic2118": "IC 2118",
    "ngc 1909": "IC 2118",
    "ic 4703": "NGC 6611",
    "c 33": "NGC 6992",
    "caldwell 49": "NGC 2237",
    "b33": "B 33",
    "barnard 33": "B 33",
    "sh2-155": "Sh2-155",
    "sh 2-155": "Sh2-155",
    "SH2 155": "Sh2-155",
    "sharpless 155": "Sh2-155",
    "sharpless 2-155": "Sh2-155",
    "melotte 25": "Mel 25",
    "collinder 399": "Cr 399",
    "hickson 92": "HCG 92",
    "abell 39": "Abell 39",
    "pk 047+42.1": "Abell 39",
    "hip 677": "HIP 677",
    "hd 358": "HIP 677",
    # names
    "veil": "NGC 6960",
    "eastern veil": "NGC 6992",
    "Horsehead": "B 33",
    "horse head": "B 33",
    "heart": "IC 1805",
    "soul": "IC 1848",
    "tulip": "Sh2-101",
    "pacman": "NGC 281",
    "witch head": "IC 2118",
    "lagoon": "NGC 6523",
    "north america": "NGC 7000",
    "northamerica": "NGC 7000",
    "helix": "NGC 7293",
    "ring": "NGC 6720",
    "orion": "NGC 1976",
    "flame": "NGC 2024",
    "rosette": "NGC 2237",
    "eagle": "NGC 6611",
    "iris": "NGC 7023",
    "cocoon": "IC 5146",
    "sombrero": "NGC 4594",
    "california": "NGC 1499",
    "wizard": "NGC 7380",
    "thor": "NGC 2359",
    "jellyfish": "IC 443",
    "running chicken": "IC 2944",
    "cats paw": "NGC 6334",
    "cat's eye": "NGC 6543",
    "elephants trunk": "IC 1396",
    "elephant's trunk": "IC 1396",
    "the eyes": "NGC 4438",
    "bode": "NGC 3031",
    "bodes galaxy": "NGC 3031",
    "double cluster": "C 14",
    "leo triplet": "Arp 317",
    "lmc": "LMC",
    # stars and objects named like stars
    "γ cas": "HIP 4427",
    "gam cas": "HIP 4427",
    "gamma cas": "HIP 4427",
    "Gamma Cassiopeiae": "HIP 4427",
    "gamma cass": "HIP 4427",
    "gamma and": "HIP 9640",
    "zet uma": "HIP 65378",
    "zeta ursae majoris": "HIP 65378",
    "alpha canis maj": "HIP 32349",
    "alf cma": "HIP 32349",
    "61 cygni": "HIP 104214",
    "45 tauri": "HIP 19554",
    "polaris": "HIP 11767",
    "vega": "HIP 91262",
    "mizar": "HIP 65378",
    "albireo": "HIP 95947",
    "30 dor": "NGC 2070",
    "30 doradus": "NGC 2070",
    "47 tuc": "NGC 104",
    "47 tucanae": "NGC 104",
    "omega cen": "NGC 5139",
    "ω centauri": "NGC 5139",
    "eta carinae": "NGC 3372",
    # slips of the finger, wherever the right name is plain
    "horsehed": "B 33",
    "andromida": "NGC 224",
    "pleides": "Mel 22",
    "roseta": "NGC 2237",
    "wirlpool": "NGC 5194",
    "tarantla": "NGC 2070",
    "crescnt": "NGC 6888",
    "betelgeuze": "HIP 27989",
    # bodies that move
    "moon": "Moon",
    "jupiter": "Jupiter",
}


@pytest.mark.parametrize("typed", FIRST)
def test_what_is_meant_comes_first(typed: str) -> None:
    assert [hit.id for hit in finder().find(typed, limit=1)] == [FIRST[typed]]


@pytest.mark.parametrize(
    ("typed", "shown", "matched"),
    [
        ("m31", "Andromeda Galaxy (M 31)", "M 31"),
        ("ngc 224", "Andromeda Galaxy (M 31)", "NGC 224"),
        ("b33", "Horsehead Nebula (B 33)", "B 33"),
        ("ic 4703", "Eagle Nebula (M 16)", "IC 4703"),
        ("alcyone", "Alcyone (η Tau)", "Alcyone"),
        ("ngc 7331", "NGC 7331", "NGC 7331"),
    ],
)
def test_the_name_that_fitted_is_told_with_the_one_to_show(
    typed: str, shown: str, matched: str
) -> None:
    (hit,) = finder().find(typed, limit=1)
    assert (hit.shown, hit.matched) == (shown, matched)


def test_every_letter_typed_keeps_the_horsehead_in_sight() -> None:
    name = "horsehead nebula"
    for length in range(4, len(name) + 1):
        hits = finder().find(name[:length])
        assert "B 33" in [hit.id for hit in hits], name[:length]


def test_the_same_number_comes_before_longer_ones_and_those_by_prominence() -> None:
    assert [hit.matched for hit in finder().find("m 3", limit=3)] == ["M 3", "M 31", "M 33"]


def test_an_object_is_offered_once() -> None:
    ids = [hit.id for hit in finder().find("veil", limit=50)]
    assert len(ids) == len(set(ids))


def test_every_object_is_found_by_each_of_its_names() -> None:
    """An alias may belong to several (Siamese Twins); then one of them is named."""
    owners: dict[str, set[str]] = {}
    written: dict[str, str] = {}
    for catalogue in (deep_sky(), bright_stars()):
        for thing in catalogue:
            for name in (thing.id, thing.name, *thing.aliases):
                key = normalise(name).replace(" ", "")
                owners.setdefault(key, set()).add(thing.id)
                written[key] = name
    lost = {name for key, name in written.items() if finder().named(name).id not in owners[key]}
    assert lost == set()


@pytest.mark.parametrize(
    ("typed", "identifier"),
    [
        ("Horsehead", "B 33"),
        ("horsehead nebula", "B 33"),
        ("M 31", "NGC 224"),
        ("γ cas", "HIP 4427"),
    ],
)
def test_an_exact_name_gives_the_object(typed: str, identifier: str) -> None:
    assert finder().exact(typed).id == identifier


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("horsehed", r"No object called 'horsehed'\. Did you mean Horsehead Nebula \(B 33\)"),
        ("andromida", r"Did you mean Andromeda Galaxy \(M 31\)"),
        ("ngc 99999", r"No object called 'ngc 99999'\.$"),
        ("xqzzy", r"No object called 'xqzzy'\.$"),
        ("horse", r"Did you mean Horsehead Nebula"),
        ("", "Give the name"),
        ("\x1b[31m\n", "No object called"),
        ("Jupiter", "moves among the stars"),
    ],
)
def test_an_unknown_name_is_answered_with_close_ones(typed: str, words: str) -> None:
    with pytest.raises(NotFound, match=words):
        finder().exact(typed)


def test_a_planet_is_found_by_name_with_its_kind() -> None:
    hit = finder().named("saturn")
    assert (hit.id, hit.kind) == ("Saturn", "planet")


def test_the_sun_is_not_offered() -> None:
    assert "Sun" not in [hit.id for hit in finder().find("sun", limit=50)]


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "   ",
        "\x00\x1b[2J",
        "[/bold]",
        "<script>",
        "ngc 7000\u202e",
        "a" * 10_000,
        "%",
        "💥",
        "\\",
        "((",
    ],
)
def test_hostile_text_is_only_text(typed: str) -> None:
    hits = finder().find(typed)
    assert len(hits) <= 10
    with pytest.raises(NotFound) as refused:
        finder().exact(typed.replace("7000", "70001"))
    assert len(str(refused.value)) < 300
    assert str(refused.value).isprintable()


@given(st.text(max_size=60), st.integers(min_value=1, max_value=12))
@settings(max_examples=150, deadline=None)
def test_whatever_is_typed_gives_at_most_as_many_as_asked_each_once(typed: str, limit: int) -> None:
    hits = finder().find(typed, limit)
    assert len(hits) <= limit
    assert len({hit.id for hit in hits}) == len(hits)


@given(st.sampled_from([thing.name for thing in deep_sky()] + list(FIRST)))
@settings(max_examples=200, deadline=None)
def test_bringing_a_name_to_its_form_twice_changes_nothing(name: str) -> None:
    assert normalise(normalise(name)) == normalise(name)


@pytest.mark.parametrize(
    ("typed", "form"),
    [
        ("γ² And", "gamma 2 and"),
        ("gam2 Andromedae", "gamma 2 and"),
        ("Barnard's Loop", "barnards loop"),
        ("The  Élephant—Trunk", "elephant trunk"),
        ("NGC00224", "ngc 224"),
        ("sharpless 2-101", "sh 2 101"),
        ("τ Boötis", "tau boo"),
        ("h Persei", "h per"),
        ("PK 164+31.1", "pk 164 31 1"),
        ("0", "0"),
    ],
)
def test_names_take_one_form(typed: str, form: str) -> None:
    assert normalise(typed) == form


def test_a_finder_can_be_made_of_ones_own_entries() -> None:
    def look_up(identifier: str) -> SkyObject:
        raise NotFound(identifier)

    own = Finder(
        [
            Entry("a", "Old Barn", "mark", ("Old Barn", "OB 1"), 2.0),
            Entry("b", "Old Bridge", "mark", ("Old Bridge",), 1.0),
        ],
        look_up,
    )
    assert [hit.id for hit in own.find("old b")] == ["b", "a"]
    assert [hit.id for hit in own.find("barn")] == ["a"]
    assert own.named("ob1").id == "a"


def test_importing_the_finder_loads_nothing_heavy() -> None:
    program = (
        "import sys; import logbook.sky.catalogue.name_search;"
        "assert not {'numpy', 'astropy', 'sqlalchemy', 'textual'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", program], check=True)
