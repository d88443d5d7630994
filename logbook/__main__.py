"""`python -m logbook`."""

import sys

from logbook.cli import main

if __name__ == "__main__":
    sys.exit(main())
