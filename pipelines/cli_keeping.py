"""The commands that keep a home safe, and those that say who may sign in."""

import sys
from pathlib import Path

import click

from pipelines.cli_parts import COULD_NOT, DONE, SET_ASIDE, Session, json_option


@click.command()
@click.pass_context
def verify(ctx: click.Context) -> None:
    """Check sources, record and board against each other."""
    from pipelines import flow, report

    session: Session = ctx.obj
    with report.progress(session.quiet) as tell:
        found = flow.verify(session.home, say=session.say, tell=tell)
    for what, wrong in found:
        click.echo(f"{'NO ' if wrong else 'yes'}  {what}{f': {wrong}' if wrong else ''}")
    ctx.exit(COULD_NOT if any(wrong for _, wrong in found) else DONE)


@click.command()
@click.pass_context
def rebuild(ctx: click.Context) -> None:
    """Make the record again from its kept sources; the old file moves to the backups."""
    from pipelines import flow, report

    session: Session = ctx.obj
    with report.progress(session.quiet) as tell:
        oddities = flow.rebuild(session.home, say=session.say, tell=tell)
    for oddity in oddities:
        click.echo(f"Not as it was logged: {oddity}", err=True)
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


# --- accounts --------------------------------------------------------------------------------------------------------


@click.group()
def account() -> None:
    """Say who may sign in."""


passphrase_option = click.option(
    "--passphrase-stdin", is_flag=True, help="Read the pass-phrase from standard input, for scripts."
)


def _passphrase(from_stdin: bool) -> str:
    if from_stdin:
        return sys.stdin.readline().rstrip("\r\n")
    told: str = click.prompt("Pass-phrase (12 characters or more)", hide_input=True, confirmation_prompt=True)
    return told


@account.command(name="add")
@click.argument("name")
@click.option(
    "--role", type=click.Choice(["head_coach", "staff", "athlete"]), required=True, help="What they may read."
)
@click.option("--athlete", "athlete_id", metavar="ID", help="Whose page an athlete's account opens.")
@click.option("--group", "groups", multiple=True, help="An event group that staff may read; give it several times.")
@passphrase_option
@click.pass_obj
def account_add(
    session: Session, name: str, role: str, athlete_id: str | None, groups: tuple[str, ...], passphrase_stdin: bool
) -> None:
    """Add an account."""
    from pipelines import flow

    flow.accounts(session.home).add(name, role, _passphrase(passphrase_stdin), athlete_id=athlete_id, groups=groups)
    session.done(f"'{name}' can sign in.")


@account.command(name="list")
@json_option
@click.pass_obj
def account_list(session: Session, as_json: bool) -> None:
    """List the accounts."""
    from pipelines import flow, report

    for one in flow.accounts(session.home).list():
        told = {name: value for name, value in vars(one).items() if "hash" not in name}
        click.echo(report.as_json(told) if as_json else "  ".join(f"{n}: {v}" for n, v in told.items() if v))


@account.command(name="reset")
@click.argument("name")
@passphrase_option
@click.pass_obj
def account_reset(session: Session, name: str, passphrase_stdin: bool) -> None:
    """Give an account a new pass-phrase; it is signed out everywhere."""
    from pipelines import flow

    flow.accounts(session.home).reset(name, _passphrase(passphrase_stdin))
    session.done(f"'{name}' has a new pass-phrase.")


@account.command(name="close")
@click.argument("name")
@click.pass_obj
def account_close(session: Session, name: str) -> None:
    """Close an account; it is signed out everywhere."""
    from pipelines import flow

    flow.accounts(session.home).close(name)
    session.done(f"'{name}' can no longer sign in.")


COMMANDS: list[click.Command] = [verify, rebuild, backup, restore, account]
