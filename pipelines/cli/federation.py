"""The commands of a federation: many squads' homes derived together, asked together, and what comes back taken in."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from pipelines.cli.options import DONE, SET_ASIDE, Session, by_option, publish

if TYPE_CHECKING:
    from pipelines.flow import Home, Report

folder_option = click.option(
    "--folder", type=click.Path(file_okay=False, path_type=Path), metavar="DIR", required=True,
    help="Where the lake of shared tables and the reference tables lie.",
)  # fmt: skip
master_option = click.option(
    "--master", default="", metavar="ADDRESS", help="A Spark cluster that is there; else two workers on this machine."
)
here_option = click.option("--here", is_flag=True, help="Derive in this process, one squad after the other: no Spark.")
again_option = click.option("--again", is_flag=True, help="Write the reference tables of this quarter once more.")


@click.group()
def federation() -> None:
    """Many squads together: what each shares, what only all of them can answer, and reference tables back to each.

    A squad shares runs and flag weeks of athletes who agreed to 'sharing', without names, dates or words. Its record
    and its sources never leave its home.
    """


@federation.command()
@click.argument("key", metavar="KEY")
@click.pass_obj
def join(session: Session, key: str) -> None:
    """Say which squad of a federation the home is. Nothing is shared by it."""
    from pipelines import flow

    flow.join_federation(session.home, key)
    session.done(
        f"The home is squad '{key}'. Shared are only athletes with a consent to 'sharing' in force; the secret of "
        "their pseudonyms stays in federation-secret.txt: keep it safe and to yourself."
    )


@federation.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@by_option
@click.pass_obj
def take(session: Session, file: Path, by: str) -> None:
    """Take in the reference tables of a quarter, to stand beside own figures as context. Needs no extra."""
    from pipelines import flow

    outcome = flow.take_reference(session.home, file, session.writer(by), say=session.say)
    if not outcome.load_no:
        session.done("These figures are in already.")
        return
    session.done(
        f"{outcome.stored} figures of other squads are in, as load {outcome.load_no}; "
        f"'thirdstep undo {outcome.load_no}' takes them back. They are context: no call, flag or advice reads them."
    )
    publish(session)


@federation.command(name="run")
@click.argument("homes", nargs=-1, required=True, type=click.Path(exists=True, file_okay=False, path_type=Path))
@folder_option
@master_option
@here_option
@again_option
@click.pass_context
def run_(ctx: click.Context, homes: tuple[Path, ...], folder: Path, master: str, here: bool, again: bool) -> None:
    """Derive the squads of some homes, publish what they share, ask, and write the reference tables.

    A run with nothing new does nothing. A squad that cannot be derived is named and left out, the others go on.
    """
    from pipelines import flow

    session: Session = ctx.obj
    _run(ctx, session, [flow.find_home(one) for one in homes], folder, None if here else master, again)


@federation.command()
@click.option("--squads", default=8, show_default=True, type=click.IntRange(1, 200), help="How many invented squads.")
@click.option(
    "--folder", type=click.Path(file_okay=False, path_type=Path), metavar="DIR",
    help="Where everything goes; else a folder of your user's data.",
)  # fmt: skip
@master_option
@here_option
@again_option
@click.pass_context
def demo(ctx: click.Context, squads: int, folder: Path | None, master: str, here: bool, again: bool) -> None:
    """Build some invented squads, and run their federation."""
    from pipelines import flow
    from pipelines.entry import report

    session: Session = ctx.obj
    place = (folder or flow.find_demo_home(session.given).root.with_name("thirdstep-federation")).absolute()
    session.say(f"Building {squads} invented squads in {place} ...")
    with report.progress(session.quiet) as tell:
        homes = flow.build_federation_demo(place, squads, with_spark=not here, tell=tell)
    _run(ctx, session, homes, place, None if here else master, again)


def _run(
    ctx: click.Context, session: Session, homes: "list[Home]", folder: Path, master: str | None, again: bool
) -> None:
    from pipelines import flow
    from pipelines.entry import report

    with report.progress(session.quiet) as tell:
        done = flow.run_federation(
            homes,
            folder.absolute(),
            master=master,
            again=again,
            tell=tell,
            stage=lambda what: session.say(f"{what} ..."),
        )
    for line in _told(done):
        session.done(line)
    for squad, why in done.left_out.items():
        session.say(f"Squad '{squad}' is left out; what it shared before stays as it was. Why: {why}")
    ctx.exit(SET_ASIDE if done.left_out else DONE)


def _told(done: "Report") -> Iterator[str]:
    """Yield what a run did, a line each."""
    if not done.derived and not done.gone and not done.is_new_reference:
        yield f"Nothing new in {len(done.unchanged)} squads; nothing was done."
        return
    athletes = sum(one.athletes for one in done.derived)
    tables = sum(len(one.derived) for one in done.derived)
    shared = sum(rows for one in done.derived for rows, _ in one.shared.values())
    cpu = sum(one.cpu_s for one in done.derived)
    yield (
        f"{len(done.derived)} squads derived ({athletes} athletes, {tables} tables, {cpu:.0f} s of processor), "
        f"{len(done.unchanged)} unchanged; {shared:,} rows shared, version {done.current.number} of the lake."
    )
    if done.compared:
        yield f"Squad '{done.compared}' was derived here as well: no table differs."
    if done.gone:
        yield f"Taken out of the lake for good: {', '.join(done.gone)}."
    if done.worst_difference is not None:
        yield f"DuckDB and Spark answer alike: they differ by {done.worst_difference:.0e} of a value at most."
    for question, cells in done.answers.items():
        yield f"  {question:<14} {len(cells)} cells of at least 10 people of 3 squads"
    if done.is_new_reference:
        yield f"Reference tables: {done.cells} cells in {done.reference}"
        yield "A squad takes them in, without the extra: thirdstep federation take FILE"
    elif done.reference:
        yield f"The reference tables of this quarter are out already ({done.reference}); --again writes them once more."


COMMANDS: tuple[click.Command, ...] = (federation,)
