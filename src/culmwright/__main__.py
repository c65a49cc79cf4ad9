"""``python -m culmwright``: the same command."""

import sys

from culmwright.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
