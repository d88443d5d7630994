"""Figures as ratios, printed and never asserted.

`python -m tests.bench` takes them all, `python -m tests.bench bench_sky bench_start` some.
"""

import importlib
import sys
from collections.abc import Sequence

MODULES = (
    "bench_sky",
    "bench_bright_moon",
    "bench_store",
    "bench_search",
    "bench_frames",
    "bench_past",
    "bench_paper",
    "bench_kit",
    "bench_startest",
    "bench_screws",
    "bench_start",
)


def main(names: Sequence[str]) -> None:
    """Run benchmarks, every one unless some are named, and print their lines."""
    for name in names or MODULES:
        print(f"\n{name}")
        for line in importlib.import_module(f"tests.{name}").run():
            print(f"  {line}")


if __name__ == "__main__":
    main(sys.argv[1:])
