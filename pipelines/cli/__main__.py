"""The program: ``thirdstep``, and ``python -m pipelines.cli``.

What it computes stands back for the pages of a dashboard on this machine; what starts a dashboard does not.
"""

import sys

from pipelines.cli.main import main
from pipelines.home.turns import reckon_alone, stand_back

OF_PAGES = {"open", "demo"}  # commands that draw pages


def run() -> None:
    """Run a command."""
    reckon_alone()
    if OF_PAGES.isdisjoint(sys.argv):
        stand_back()
    main()


if __name__ == "__main__":
    run()
