"""Typeset one sheet to standard output: how ``thirdstep sheet`` prints. Whoever may read the home's files may print."""

import argparse
import sys

from dashboard import wording
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.home import NoBoard, home_folder
from dashboard.reads import Opened, parsed_day
from dashboard.screens.week.rows import weeks_on_board
from dashboard.sheets.athlete import athlete_sheet
from dashboard.sheets.week import week_sheet

AT_HOME = Viewer("command line", "head_coach")


def main() -> int:
    """Write the sheet asked for; say in one sentence why not."""
    asked = argparse.ArgumentParser(prog="python -m dashboard.sheets")
    asked.add_argument("kind", choices=("week", "athlete"))
    asked.add_argument("--week", default="")
    asked.add_argument("--athlete", default="")
    asked.add_argument("--own-words", action="store_true")
    given = asked.parse_args()
    try:
        opened = Opened(AT_HOME, Board(home_folder()))
    except NoBoard:
        return _refuse(wording.NO_BOARD)
    if given.kind == "athlete":
        content = athlete_sheet(opened, given.athlete, given.own_words)
        if content is None:
            return _refuse(wording.no_such_athlete(given.athlete))
    else:
        weeks = weeks_on_board(opened)
        if given.week and parsed_day(given.week) not in weeks:
            return _refuse(wording.no_such_week(given.week, [w.isoformat() for w in weeks[:3]]))
        content = week_sheet(opened, {"week": given.week or None})
        if content is None:
            return _refuse(wording.NO_SHEET)
    sys.stdout.buffer.write(content)
    return 0


def _refuse(sentence: str) -> int:
    sys.stderr.write(sentence + "\n")
    return 1


if __name__ == "__main__":
    sys.exit(main())
