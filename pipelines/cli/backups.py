"""The commands that keep a home safe."""

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from pipelines.cli.options import COULD_NOT, DONE, SET_ASIDE, Session
from pipelines.errors import Older, ThirdstepError

if TYPE_CHECKING:
    from pipelines.record.backup import Brought


@click.command()
@click.option("--head", "heads", multiple=True, metavar="HEAD", help="A head kept elsewhere ('thirdstep heads').")
@click.pass_context
def verify(ctx: click.Context, heads: tuple[str, ...]) -> None:
    """Check sources, record and board against each other, and log and trail against themselves."""
    from pipelines import flow
    from pipelines.entry import report

    session: Session = ctx.obj
    with report.progress(session.quiet) as tell:
        found = flow.verify(session.home, heads=[one.strip().lower() for one in heads], say=session.say, tell=tell)
    older = [wrong for _, wrong in found if isinstance(wrong, Older)]
    for what, wrong in found:
        mark = "old" if wrong in older else "NO " if wrong else "yes"
        click.echo(f"{mark}  {what}{f': {wrong}' if wrong else ''}")
    is_wrong = any(wrong and wrong not in older for _, wrong in found)
    ctx.exit(COULD_NOT if is_wrong else SET_ASIDE if older else DONE)


@click.command()
@click.pass_obj
def heads(session: Session) -> None:
    """Print the heads of the log of events and of the trail, to be kept elsewhere, on paper or by somebody else.

    'thirdstep verify --head HEAD' says later whether anything before it was changed since.
    """
    from pipelines import flow

    log, trail = flow.heads_of(session.home, say=session.say)
    click.echo(f"log    {log or 'nothing yet'}")
    click.echo(f"trail  {trail or 'nothing yet'}")


@click.command()
@click.option("--drop", "dropping", is_flag=True, help="Go on without rows whose source no longer gives them.")
@click.pass_context
def rebuild(ctx: click.Context, dropping: bool) -> None:
    """Make the record again from its kept sources; the old file moves to the backups."""
    from pipelines import flow
    from pipelines.entry import report

    session: Session = ctx.obj
    with report.progress(session.quiet) as tell:
        oddities = flow.rebuild(session.home, dropping=dropping, say=session.say, tell=tell)
    for oddity in oddities:
        click.echo(f"Not as it was logged: {oddity}", err=True)
    if oddities and not dropping:
        raise ThirdstepError(
            "Record and board stay as they were. Load the right file again, or bring the source back from a backup; "
            "'thirdstep rebuild --drop' goes on without those rows."
        )
    session.done("The record was made again from its sources, and the board is published.")
    ctx.exit(SET_ASIDE if oddities else DONE)


phrase_option = click.option("--phrase-stdin", is_flag=True, help="Read the phrase from standard input, for scripts.")


def _phrase(asked: str, from_stdin: bool, *, is_new: bool) -> str:
    if from_stdin:
        return sys.stdin.readline().rstrip("\r\n")
    told: str = click.prompt(asked, hide_input=True, confirmation_prompt=is_new)
    return told


@click.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option(
    "--sealed", is_flag=True, help="Encrypt it with a phrase, which is asked for. Without it nobody opens it."
)
@phrase_option
@click.pass_obj
def backup(session: Session, file: Path, sealed: bool, phrase_stdin: bool) -> None:
    """Write sources, record, settings and accounts to one file, signed with this home's key."""
    from pipelines import flow

    is_sealed = sealed or phrase_stdin
    phrase = _phrase("Phrase (16 characters or more)", phrase_stdin, is_new=True) if is_sealed else ""
    if is_sealed and not phrase:
        raise ThirdstepError("No phrase was given. Nothing was written.")
    count, signed_by = flow.backup(session.home, file, phrase=phrase, say=session.say)
    safe = (
        "It is sealed: keep the phrase elsewhere, for without it nobody opens the file."
        if phrase
        else "It holds health data: keep it safe, or make it with --sealed."
    )
    session.done(f"{count} files are in {file}. {safe}")
    session.done(f"Signed by {signed_by}. Keep that elsewhere: 'restore --signed-by' holds a file against it.")


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--yes", "agreed", is_flag=True, help="Take what it brings without being asked.")
@click.option("--without-accounts", is_flag=True, help="Leave its accounts and the club's sign-in out.")
@click.option("--signed-by", default="", metavar="FINGERPRINT", help="Take it only where this key signed it.")
@phrase_option
@click.pass_obj
def restore(
    session: Session, file: Path, agreed: bool, without_accounts: bool, signed_by: str, phrase_stdin: bool
) -> None:
    """Fill an empty home from a backup file; it says what the file brings, and asks, before it takes anything."""
    from pipelines import flow

    def agree(brought: "Brought") -> bool:
        for line in _told(brought):
            click.echo(line, err=True)
        return agreed or click.confirm("Take all of this?", err=True)

    home = session.home
    phrase = _phrase("Phrase of the backup", phrase_stdin, is_new=False) if flow.is_sealed(file) else ""
    count = flow.restore(
        home, file, phrase=phrase, agree=agree, with_access=not without_accounts, signed_by=signed_by, say=session.say
    )
    session.done(f"{count} files are back in {home.root}, and the board is published. Nobody is signed in.")


def _told(brought: "Brought") -> Iterator[str]:
    """Yield what a backup would bring, a line each."""
    when = brought.made_at[:16].replace("T", " ")
    yield f"{brought.files} files, {brought.size_bytes / 1e6:,.1f} MB, made {when}."
    yield f"Signed by {brought.signed_by}." if brought.signed_by else "NOT SIGNED: anybody may have made or changed it."
    if brought.accounts:
        yield f"{len(brought.accounts)} people can sign in with it:"
        yield from (f"  {name} ({role})" for name, role in brought.accounts)
    if brought.second_without_key:
        yield (
            f"{brought.second_without_key} of them have a second factor whose key is not in a backup without a phrase: "
            "they sign in with a recovery code and set it up anew ('account second-off' where those are lost)."
        )
    if brought.club:
        yield "People can come in through this sign-in of a club:"
        yield from (f"  {line}" for line in brought.club.splitlines())


COMMANDS: list[click.Command] = [verify, heads, rebuild, backup, restore]
