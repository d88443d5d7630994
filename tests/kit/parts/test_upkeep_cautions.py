"""Work that can hurt is cautioned about; most work is not. Common practice, no source."""

import pytest

from logbook.kit.parts.upkeep_cautions import upkeep_cautions


@pytest.mark.parametrize(
    ("action", "part", "words"),
    [
        ("mirror cell taken out", "Long tube", "a hand under the cell"),
        ("Grub screw of B replaced", None, "centre screw"),
        ("secondary re-seated", None, "tube level"),
        ("front lens dusted", None, "nothing is rubbed dry"),
        ("mains lead repaired", None, "licensed electrician"),
        ("fuse changed", "Tall mount", "pull the plug"),
        ("batteries", None, "never charge"),
        ("old grease out, regreased", "Focuser", "no flame"),
        ("wiped with isopropyl alcohol", None, "gloves"),
        ("belt tightened", "Tall mount", "Counterweights on first"),
        ("finder aligned", None, "Sun"),
    ],
)
def test_the_words_of_the_work_call_the_caution(action: str, part: str | None, words: str) -> None:
    assert any(words in each for each in upkeep_cautions(action, part))


@pytest.mark.parametrize("action", ["desiccant dried", "firmware renewed", "spirit level read"])
def test_harmless_work_is_left_in_peace(action: str) -> None:
    assert upkeep_cautions(action) == ()


def test_every_caution_is_short() -> None:
    every = upkeep_cautions("mirror, mains, battery, solvent, mount, finder")
    assert len(every) == 7
    assert all(len(each) < 200 for each in every)
