"""Printed sheets for the command line: the dashboard typesets them in a child process, as it does for its pages.

One renderer, one wording, one way of reading the board; and the command line imports nothing of the dashboard.
"""

import os
import subprocess
import sys

from pipelines.errors import ThirdstepError
from pipelines.home.folder import HOME_VARIABLE, Home

KINDS = ("week", "athlete")
WAIT_S = 120.0  # s, a first run imports everything on a slow machine


def print_sheet(home: Home, kind: str, *, athlete: str = "", week: str = "", own_words: bool = False) -> bytes:
    """Return a sheet as PDF.

    Raises:
        ThirdstepError: There is no such sheet, athlete or week, or it could not be typeset.
    """
    if kind not in KINDS:
        raise ThirdstepError(f"There is no sheet '{kind}'. The sheets are: {', '.join(KINDS)}.")
    command = [sys.executable, "-m", "dashboard.sheets", kind]
    for option, value in (("--athlete", athlete), ("--week", week)):
        command += [option, value] if value else []
    command += ["--own-words"] if own_words else []
    done = subprocess.run(
        command, capture_output=True, check=False, timeout=WAIT_S, env=os.environ | {HOME_VARIABLE: str(home.root)}
    )
    if done.returncode or not done.stdout.startswith(b"%PDF"):
        said = [line for line in done.stderr.decode("utf-8", "replace").strip().splitlines() if line.strip()]
        raise ThirdstepError(said[-1] if said else "The sheet could not be typeset.")
    return done.stdout
