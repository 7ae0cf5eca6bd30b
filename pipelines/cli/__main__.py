"""The program: ``thirdstep``, and ``python -m pipelines.cli``.

What it computes stands back for the pages of a dashboard on this machine; what starts a dashboard does not.
"""

import gc
import os
import sys

from pipelines.cli.main import main
from pipelines.home.turns import stand_back

OF_PAGES = {"open", "demo"}  # commands that draw pages
# Objects more, until garbage is looked for: nearly all that a short command makes is modules, and those stay. At 700 a
# tenth of its processor went into walking them again and again. Own choice.
BETWEEN_LOOKS = 50_000


def run() -> None:
    """Run a command."""
    gc.set_threshold(BETWEEN_LOOKS)
    # Before anything reckons: a second thread for products of small matrices waits for the next one by spinning.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    if OF_PAGES.isdisjoint(sys.argv):
        stand_back()
    main()


if __name__ == "__main__":
    run()
