"""Run the command line as ``python -m mealplan``."""

import sys

from mealplan.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
