"""Let `python -m buckle` be the command line."""

import sys

from buckle.cli import main

if __name__ == "__main__":
    sys.exit(main())
