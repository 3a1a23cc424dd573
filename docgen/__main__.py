"""`python -m docgen` is the command `docgen`."""

import sys

from docgen.cli import main

if __name__ == "__main__":
    sys.exit(main())
