"""The commands that keep a home safe."""

from pathlib import Path

import click

from pipelines.cli.options import COULD_NOT, DONE, SET_ASIDE, Session
from pipelines.errors import ThirdstepError


@click.command()
@click.pass_context
def verify(ctx: click.Context) -> None:
    """Check sources, record and board against each other."""
    from pipelines import flow
    from pipelines.entry import report

    session: Session = ctx.obj
    with report.progress(session.quiet) as tell:
        found = flow.verify(session.home, say=session.say, tell=tell)
    for what, wrong in found:
        click.echo(f"{'NO ' if wrong else 'yes'}  {what}{f': {wrong}' if wrong else ''}")
    ctx.exit(COULD_NOT if any(wrong for _, wrong in found) else DONE)


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


@click.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.pass_obj
def backup(session: Session, file: Path) -> None:
    """Write sources, record, settings and accounts to one file."""
    from pipelines import flow

    session.done(
        f"{flow.backup(session.home, file, say=session.say)} files are in {file}. It holds health data: keep it safe."
    )


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.pass_obj
def restore(session: Session, file: Path) -> None:
    """Fill an empty home from a backup file."""
    from pipelines import flow

    home = session.home
    count = flow.restore(home, file, say=session.say)
    session.done(f"{count} files are back in {home.root}, and the board is published.")


COMMANDS: list[click.Command] = [verify, rebuild, backup, restore]
