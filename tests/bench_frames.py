"""How long thousands of frames take: reading headers, planning, adding, watching.

`python -m tests.bench_frames [files]` prints it; nothing is asserted.
"""

import resource
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from datetime import timedelta
from pathlib import Path
from typing import TypeVar

from astropy.io import fits

from logbook.frames.folder_watch import FolderWatch, frame_paths, read_frames
from logbook.kit.parts.part import Part
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.frames.plan import Wish, plan_frames
from logbook.store.opening import make_book, open_book
from tests.frames.made_frames import FIRST, header_of

T = TypeVar("T")
FRAMES_A_NIGHT = 250
CARDS = 128  # as many as a real small camera's header has


def run(files: int = 5000) -> list[str]:
    """Lines with figures, of `files` frames of 20 nights with headers of 128 cards."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "frames"
        _write(folder, files)
        paths = frame_paths(folder)
        _bytes_of(paths)  # so that all find the files in memory
        bytes_s, _ = _timed(lambda: _bytes_of(paths))
        ours_s, reading = _timed(lambda: read_frames(paths))
        astropy_s, _ = _timed(lambda: [fits.getheader(path)["DATE-OBS"] for path in paths])
        lines = [
            f"{len(paths)} headers of {CARDS} cards: {ours_s:.2f} s, "
            f"{ours_s / len(paths) * 1e3:.2f} ms each; "
            f"{ours_s / bytes_s:.1f} times the reading of their bytes, "
            f"{ours_s / astropy_s:.2f} of astropy's getheader",
        ]
        path = make_book(Path(place) / "book.db")
        with open_book(path) as book:
            _begin_nights(book, files)
            plan_s, plan = _timed(lambda: plan_frames(book, reading, Wish()))
            add_s, added = _timed(lambda: [book.frame_files.add(each) for each in plan.to_add])
            again_s, again = _timed(lambda: plan_frames(book, reading, Wish()))
        watch = FolderWatch(folder)
        watch.settled()
        watch.settled()
        look_s, _ = _timed(watch.settled)
    frames = sum(each.new for each in added if each)
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return [
        *lines,
        f"planning, the catalogue's first reading included: {plan_s:.2f} s; "
        f"all known: {again_s:.2f} s, {again.new} new",
        f"adding {frames} frames in {len(added)} runs: {add_s:.2f} s, "
        f"{add_s / max(len(added), 1) * 1e3:.1f} ms a run",
        f"one look at a watched folder of {len(paths)} files: {look_s * 1e3:.0f} ms",
        f"most memory of the program so far: {peak_mb:.0f} MB",
    ]


def _timed(job: Callable[[], T]) -> tuple[float, T]:
    begun = time.perf_counter()
    found = job()
    return time.perf_counter() - begun, found


def _bytes_of(paths: Sequence[Path]) -> int:
    return sum(len(path.read_bytes()[:11520]) for path in paths)


def _write(folder: Path, files: int) -> None:
    folder.mkdir()
    for number in range(files):
        night, frame = divmod(number, FRAMES_A_NIGHT)
        at = FIRST + timedelta(days=night, minutes=2 * frame)
        header = header_of(at, FILTER=("L", "R", "G", "B")[frame % 4], EXPTIME=110.0)
        header["SIMPLE"], header["BITPIX"], header["NAXIS"] = True, 8, 2
        header["NAXIS1"], header["NAXIS2"] = 6, 4
        text = _in_order(header)
        (folder / f"{number:05d}.fits").write_bytes(text + bytes(2880))


def _in_order(header: fits.Header) -> bytes:
    needed = ("SIMPLE", "BITPIX", "NAXIS", "NAXIS1", "NAXIS2")
    ordered = fits.Header([(name, header[name]) for name in needed])
    for name in header:
        if name not in needed:
            ordered[name] = header[name]
    for number in range(CARDS - len(ordered)):
        ordered[f"KEY{number}"] = (number * 1.5, "a card that nothing asks for")
    return str(ordered.tostring()).encode("ascii")


def _begin_nights(book: Book, files: int) -> None:
    site = book.sites.add(Site("Mill Hill", 48.2, 16.3, 310.0, "Europe/Vienna"))
    tube = book.kit.add_part(Part("Long Tube", "telescope").with_number("focal_length_mm", 1624))
    train = book.kit.add_train("Long train", "camera", (tube.id,))
    for night in range(-(-files // FRAMES_A_NIGHT)):
        book.nights.start(site.id, train.id, "", FIRST + timedelta(days=night))


if __name__ == "__main__":
    print("\n".join(run(*(int(each) for each in sys.argv[1:]))))
