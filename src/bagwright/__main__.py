"""`python -m bagwright` is the command `bagwright`."""

import sys

from bagwright.cli import main

if __name__ == "__main__":
    sys.exit(main())
