"""Designations in the one form the tables use: "NGC 224", "Sh2-155", "M 31"."""

import re

_OPENNGC = {
    "NGC": "NGC ",
    "IC": "IC ",
    "B": "B ",
    "C": "C ",
    "Cl": "Cr ",
    "ESO": "ESO ",
    "H": "Harvard ",
    "HCG": "HCG ",
    "M": "M ",
    "Mel": "Mel ",
    "MWSC": "MWSC ",
    "PGC": "PGC ",
    "UGC": "UGC ",
    "LBN": "LBN ",
    "PK": "PK ",
}


def openngc_name(name: str) -> str:
    """Return an OpenNGC record name in the tables' form: "NGC0224" -> "NGC 224"."""
    match = re.fullmatch(r"([A-Za-z]+)\s*0*(\d.*)", name.strip())
    if match is None or match[1] not in _OPENNGC:
        raise ValueError(f"unknown kind of record name {name!r}")
    return _OPENNGC[match[1]] + match[2]


def openngc_identifier(identifier: str) -> str:
    """Return a cross designation in the tables' form, or "" for a survey's own number."""
    text = " ".join(identifier.split())
    if text.startswith("SH 2-"):
        return "Sh2-" + text.removeprefix("SH 2-").lstrip("0")
    if text.startswith("PK "):
        return _pk(text)
    match = re.fullmatch(r"(UGC|LBN|C|Mel|Cl) 0*(\d+[A-Z]?)", text)
    return _OPENNGC[match[1]] + match[2] if match else ""


def _pk(text: str) -> str:
    """Return "PK 138+02 1" as "PK 138+02.1"."""
    match = re.fullmatch(r"PK (\d+[+-]\d+) (\d+)", text)
    return f"PK {match[1]}.{match[2]}" if match else ""


def supplement_name(identifier: str) -> str:
    """Return a name of the supplement in the tables' form: "Sh2 101" -> "Sh2-101"."""
    text = " ".join(identifier.split())
    if text.startswith("Sh2 "):
        return "Sh2-" + text.removeprefix("Sh2 ")
    return text.replace("VdBH ", "vdBH ").replace("VdB ", "vdB ")
