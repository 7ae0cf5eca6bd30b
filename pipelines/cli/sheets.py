"""Commands that print: the week and an athlete as PDF."""

from pathlib import Path

import click

from pipelines.cli.options import Session, whoami

out_option = click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    required=True,
    metavar="FILE",
    help="PDF to write.",
)


@click.group()
def sheet() -> None:
    """Print the week, or one athlete, as a PDF for paper (A4, safe without colours)."""


@sheet.command()
@out_option
@click.option("--week", default="", metavar="MONDAY", help="Its Monday (2026-11-16); else the last week.")
@click.pass_obj
def week(session: Session, out: Path, week: str) -> None:
    """Print the squad's week: calls, reasons, progress, load, work and decisions."""
    _write(session, "week", out, week=week)


@sheet.command()
@click.argument("athlete_id", metavar="ATHLETE")
@out_option
@click.option("--own-words", is_flag=True, help="In the athlete's own words, for the athlete or a guardian.")
@click.pass_obj
def athlete(session: Session, athlete_id: str, out: Path, own_words: bool) -> None:
    """Print one athlete, by name or key: the three calls, the start, the work and what was decided."""
    _write(session, "athlete", out, athlete=athlete_id, own_words=own_words)


def _write(
    session: Session, kind: str, out: Path, *, week: str = "", athlete: str = "", own_words: bool = False
) -> None:
    from pipelines import flow

    content = flow.sheet(session.home, kind, whoami(), week=week, athlete=athlete, own_words=own_words)
    flow.write_file(out, content)
    session.done(f"Written: {out}")


COMMANDS = (sheet,)
