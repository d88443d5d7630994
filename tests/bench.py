"""Figures as ratios, printed and never asserted: `python -m tests.bench`."""

import importlib

MODULES = ("bench_sky", "bench_store", "bench_past", "bench_start")


def main() -> None:
    """Run every benchmark and print its lines."""
    for name in MODULES:
        print(f"\n{name}")
        for line in importlib.import_module(f"tests.{name}").run():
            print(f"  {line}")


if __name__ == "__main__":
    main()
