"""What all commands share: exit codes, the options before the command, troubles said in one sentence."""

import getpass
import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pipelines.errors import ThirdstepError

if TYPE_CHECKING:
    from pipelines.flow import Home, Writer
    from pipelines.record.loading import Outcome

DONE, COULD_NOT, SET_ASIDE = 0, 1, 3
AS_SOMEBODY = (
    "load",
    "mend",
    "undo",
    "redo",
    "inbox",
    "federation",
)  # commands that act with an account's rights when asked to
SHOW_TRACE = "THIRDSTEP_TRACE"  # set it to see where in the program a sentence came from


class Commands(click.Group):
    """Commands whose troubles are one sentence each."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; a trouble ends it with its sentence and exit code 1."""
        before = os.umask(0o077)  # what a command writes is for this user alone, exports and printed sheets too
        try:
            return super().invoke(ctx)
        except ThirdstepError as trouble:
            if os.environ.get(SHOW_TRACE):
                raise
            click.echo(trouble.message, err=True)
            ctx.exit(COULD_NOT)
        finally:
            os.umask(before)


class Session:
    """What the options before the command say."""

    def __init__(self, home: Path | None, quiet: bool, acting_as: str | None = None) -> None:
        self.given = home
        self.quiet = quiet
        self.acting_as = acting_as

    @property
    def home(self) -> "Home":
        """The home folder to work in."""
        from pipelines import flow

        return flow.find_home(self.given)

    def writer(self, by: str) -> "Writer":
        """Return who writes: the account that ``--as`` names, with what it may write, else who holds the files."""
        from pipelines import flow

        if self.acting_as is None:
            return flow.Writer(by)
        return flow.accounts(self.home).writer(self.acting_as)

    def say(self, sentence: str) -> None:
        """Tell a person something that is no answer."""
        if not self.quiet:
            click.echo(sentence, err=True)

    def done(self, sentence: str) -> None:
        """Tell a person that a command did what it should."""
        if not self.quiet:
            click.echo(sentence)


def publish(session: Session, *, anew: bool = False) -> None:
    """Bring the board to what the record says now, or make all of it anew; say so where only that failed."""
    from pipelines import flow
    from pipelines.entry import report

    bring = flow.derive_board if anew else flow.bring_news
    with report.progress(session.quiet) as tell:
        try:
            bring(session.home, say=session.say, tell=tell)
        except ThirdstepError as trouble:
            raise ThirdstepError(
                f"The record is up to date, but no new board could be built; the last one stays. {trouble.message}"
            ) from trouble


def exit_code(outcomes: Sequence["Outcome"]) -> int:
    """Return the exit code of a load: 1 where no file could be loaded, 3 where something waits for somebody, else 0.

    What waits: a file that could not be read, a cell or row set aside that can be mended, a question that holds rows.
    Means, remarks, outcomes and rows that stand there twice wait for nobody.
    """
    from pipelines.entry.grouping import needs_nothing

    if all(one.problem for one in outcomes):
        return COULD_NOT
    waits = any(
        one.problem
        or any(not needs_nothing(cell["reason"]) for cell in one.reasons)
        or any(question.holds_rows for question in one.questions)
        for one in outcomes
    )
    return SET_ASIDE if waits else DONE


def whoami() -> str:
    """Return the name of the user of this machine."""
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return "unknown"


by_option = click.option("--by", default=whoami, show_default="you", metavar="NAME", help="Who does it, for the log.")
json_option = click.option("--json", "as_json", is_flag=True, help="One JSON object a line, for programs.")
