"""`python -m headwright` is `headwright`."""

import sys

from headwright.cli import main

if __name__ == "__main__":
    sys.exit(main())
