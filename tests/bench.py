"""Figures as ratios, printed and never asserted: `python -m tests.bench`."""

import importlib

MODULES = (
    "bench_sky",
    "bench_bright_moon",
    "bench_store",
    "bench_search",
    "bench_frames",
    "bench_past",
    "bench_kit",
    "bench_startest",
    "bench_screws",
    "bench_start",
)


def main() -> None:
    """Run every benchmark and print its lines."""
    for name in MODULES:
        print(f"\n{name}")
        for line in importlib.import_module(f"tests.{name}").run():
            print(f"  {line}")


if __name__ == "__main__":
    main()
