"""Draw new examples for property tests, for a while: what the fixed ones of the suite never meet.

`python -m tests.draw_anew tests/store tests/kit` goes through the property tests of those folders
again and again for 20 minutes (`--minutes N`), each time with other examples, and stops at the
first that fails. What it finds is added to its test as an `@example`.
"""

import argparse
import subprocess
import sys
import time

COMMAND = ("-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", "-m", "hypothesis")


def main() -> int:
    """The exit code: 0 if nothing was found in the time given."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("places", nargs="+", help="folders or files of tests")
    asked.add_argument("--minutes", type=float, default=20.0, help="for how long (20)")
    options = asked.parse_args()
    ends, rounds = time.monotonic() + 60.0 * options.minutes, 0
    while time.monotonic() < ends:
        rounds += 1
        print(f"round {rounds}", flush=True)
        command = [sys.executable, *COMMAND, "--hypothesis-profile=long", *options.places]
        code = subprocess.run(command, check=False).returncode
        if code:
            return code
    print(f"{rounds} rounds, nothing found")
    return 0


if __name__ == "__main__":
    sys.exit(main())
