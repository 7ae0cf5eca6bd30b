"""The command line. Every command says what it did and ends with 0 done, 1 could not be done, 2 wrong usage, 3 done but
something waits for somebody: an answer, a row or cell set aside that can be mended, a file that could not be read.
"""

import dataclasses
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import click

from pipelines.cli import backups as cli_keeping
from pipelines.cli import federation as cli_federation
from pipelines.cli import files as cli_files
from pipelines.cli import people as cli_people
from pipelines.cli import sheets as cli_sheets
from pipelines.cli.options import AS_SOMEBODY, Commands, Session, by_option, exit_code, json_option, publish
from pipelines.errors import ThirdstepError


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.option("--home", type=click.Path(file_okay=False, path_type=Path), metavar="DIR",
              help="Folder that holds everything of one squad (also: THIRDSTEP_HOME).")  # fmt: skip
@click.option("--as", "acting_as", metavar="NAME", help="Act as this account: with what it may write, and in its name.")
@click.option("--quiet", is_flag=True, help="Print answers only: no progress, no remarks.")
@click.version_option(package_name="thirdstep", message="thirdstep %(version)s")
@click.pass_context
def main(ctx: click.Context, home: Path | None, acting_as: str | None, quiet: bool) -> None:
    """A sprint squad's data warehouse and weekly review.

    For training planning and record keeping; it diagnoses, predicts and clears nothing.
    """
    if acting_as and ctx.invoked_subcommand not in AS_SOMEBODY:
        raise ThirdstepError(f"--as goes with {', '.join(AS_SOMEBODY)}. Leave it out for '{ctx.invoked_subcommand}'.")
    ctx.obj = Session(home, quiet, acting_as)


# --- the dashboard ---------------------------------------------------------------------------------------------------

port_option = click.option(
    "--port", type=click.IntRange(1, 65535), help="Port on this machine; else the first free one."
)
browser_option = click.option("--no-browser", is_flag=True, help="Do not open the address in a browser.")


@main.command()
@click.option("--build-only", is_flag=True, help="Build the demo and end.")
@port_option
@browser_option
@click.pass_obj
def demo(session: Session, build_only: bool, port: int | None, no_browser: bool) -> None:
    """Build a demo of an invented squad and open its dashboard."""
    from pipelines import flow
    from pipelines.entry import report

    home = flow.find_demo_home(session.given)
    session.say(f"Building the demo in {home.root} ...")
    with report.progress(session.quiet) as tell:
        outcomes, sign_ins = flow.build_demo(home, say=session.say, tell=tell)
    aside = sum(one.set_aside for one in outcomes)
    session.done(f"The demo is ready: {len(outcomes)} files, {aside} rows set aside on purpose (thirdstep rejected).")
    for one in sign_ins:
        session.done(f"  sign in as  {one.name:<24} pass-phrase  {one.passphrase:<24} reads {one.reads}")
    if not build_only:
        flow.serve(
            home,
            port,
            open_browser=not no_browser,
            announce=_announcing(home.dashboard_log),
        )


@main.command(name="open")
@port_option
@browser_option
@click.option(
    "--public-name", multiple=True, metavar="HOST", help="A name it is reached by through a web server on this machine."
)
@click.option(
    "--on-this-network", is_flag=True,
    help="Let phones on the same network in, over HTTPS with a certificate made on this machine.",
)  # fmt: skip
@click.option("--address", metavar="ADDRESS", help="Which of this machine's network addresses, where it has several.")
@click.pass_obj
def open_(
    session: Session,
    port: int | None,
    no_browser: bool,
    public_name: tuple[str, ...],
    on_this_network: bool,
    address: str | None,
) -> None:
    """Open the dashboard on this machine, or for phones on its network too."""
    from pipelines import flow
    from pipelines.entry import report

    home = session.home
    with report.progress(session.quiet) as tell:
        wrong = flow.bring_up_to_date(home, say=session.say, tell=tell)
    if wrong:
        session.say(f"The last board stays, because a new one could not be built. {wrong}")
    if not flow.accounts(home).list():
        session.say("Nobody can sign in yet: thirdstep account add NAME --role head_coach")
    flow.serve(
        home, port, open_browser=not no_browser, announce=_announcing(home.dashboard_log),
        public_names=public_name, on_network=on_this_network or address is not None, address=address, guide=click.echo,
    )  # fmt: skip


def _announcing(log: Path) -> Callable[[str], None]:
    def announce(address: str) -> None:
        click.echo(f"The dashboard is open at {address}  (Ctrl-C ends it)\nFaults are written to {log}")

    return announce


# --- files -----------------------------------------------------------------------------------------------------------


@main.command()
@click.argument("paths", nargs=-1, required=True, type=click.Path(exists=True, path_type=Path))
@click.option("--check-only", is_flag=True, help="Say what would happen and store nothing.")
@json_option
@click.option(
    "--date-order", type=click.Choice(["day", "month"]), help="What 03/04/2026 starts with, where it is unclear."
)
@click.option(
    "--split-times", type=click.Choice(["cumulative", "segment"]),
    help="Whether times are since the start or for each stretch, where it is unclear.",
)  # fmt: skip
@click.option(
    "--answers", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="FILE",
    help="Answers to what files leave open (TOML, as printed with the questions); remembered for their layout.",
)  # fmt: skip
@click.option(
    "--readings", type=click.Path(file_okay=False, path_type=Path), metavar="DIR",
    help="Obey the readings of a folder. With --check-only they are written there: what each sheet is taken for.",
)  # fmt: skip
@by_option
@click.option("--no-derive", is_flag=True, help="Store only; compute and publish later with 'thirdstep derive'.")
@click.pass_context
def load(
    ctx: click.Context,
    paths: Sequence[Path],
    check_only: bool,
    as_json: bool,
    date_order: Any,
    split_times: Any,
    answers: Path | None,
    readings: Path | None,
    by: str,
    no_derive: bool,
) -> None:
    """Load files, or folders of files, into the record and publish a new board.

    Rows that cannot be stored are set aside with their reason and wait to be mended; a file that cannot be read stops
    no other. Ends with 0 where all is stored, 3 where something waits for you (an answer, a row or cell to mend, a
    file that cannot be read), 1 where nothing could be read. Means, remarks and repeated rows wait for nobody.
    """
    from pipelines import flow
    from pipelines.entry import report

    session: Session = ctx.obj
    options = flow.read_answers(answers) if answers else flow.LayoutOptions()
    said = {"date_order": date_order, "split_times": split_times}
    options = dataclasses.replace(options, **{name: value for name, value in said.items() if value})
    if readings is not None and readings.is_dir():
        options = dataclasses.replace(options, readings=flow.read_readings(readings))
    with report.progress(session.quiet or as_json) as tell:
        outcomes = flow.load(
            session.home, paths, by=session.writer(by), options=options, check_only=check_only,
            derive_after=False, follow_next=not no_derive, say=session.say, tell=tell,
        )  # fmt: skip
    if readings is not None and check_only:
        written = flow.write_readings(readings, [reading for one in outcomes for reading in one.readings])
        session.done(
            f"{len(written)} readings written to {readings}. Change them, then load with --readings {readings}."
        )
    if as_json:
        for one in outcomes:
            click.echo(report.outcome_json(one))
    elif not session.quiet:
        report.print_outcomes(outcomes, tried=check_only)
        if not outcomes:
            click.echo("There is no file in there.")
    if not check_only and not no_derive and any(one.load_no for one in outcomes):
        publish(session)
    ctx.exit(exit_code(outcomes))


@main.command()
@json_option
@click.option("--all", "every", is_flag=True, help="List every cell, also where many of a file wait for one reason.")
@click.pass_obj
def rejected(session: Session, as_json: bool, every: bool) -> None:
    """List the rows that wait to be mended, file by file, with the reason for each."""
    from pipelines import flow
    from pipelines.entry import report

    waiting = [*flow.look(session.home, "waiting", session.say).named()]
    if as_json:
        for row in waiting:
            click.echo(report.as_json(row))
        return
    for line in report.waiting_lines(waiting, every=every):
        click.echo(line)
    rows = len({(row["load_no"], row["source_sheet"], row["source_line"]) for row in waiting})
    session.done(
        f"{rows} rows wait. Mend a cell with 'thirdstep mend NUMBER COLUMN VALUE', or load a corrected file."
        if rows
        else "No row waits."
    )


@main.command()
@json_option
@click.pass_obj
def loads(session: Session, as_json: bool) -> None:
    """List what was loaded: when, by whom, what became of it."""
    from pipelines import flow
    from pipelines.entry import report

    log = flow.look(session.home, "load", session.say)
    if as_json:
        for row in log.named():
            click.echo(report.as_json(row))
    else:
        report.print_rows(log.without("source_sha256", "is_whole", "kind", "tables"))


@main.command()
@json_option
@click.pass_obj
def due(session: Session, as_json: bool) -> None:
    """List who has not answered: today's check-in, and the last two days' sessions without minutes and effort.

    A name and what is waited for a line, to copy or for a scheduler to pass on; nothing is sent. Prints nothing where
    everybody has answered.
    """
    from pipelines import flow
    from pipelines.entry import report

    for row in flow.answers_due(session.home, session.say).iter_rows(named=True):
        click.echo(report.as_json(row) if as_json else report.due_line(row))


@main.command()
@click.argument("load_no", type=int, metavar="LOAD")
@by_option
@click.pass_obj
def undo(session: Session, load_no: int, by: str) -> None:
    """Take one load out of force, as one step."""
    from pipelines import flow

    flow.undo(session.home, load_no, session.writer(by), derive_after=False, say=session.say)
    session.done(f"Load {load_no} is undone. 'thirdstep redo {load_no}' puts it back.")
    publish(session)


@main.command()
@click.argument("load_no", type=int, metavar="LOAD")
@by_option
@click.pass_obj
def redo(session: Session, load_no: int, by: str) -> None:
    """Put an undone load back in force."""
    from pipelines import flow

    flow.redo(session.home, load_no, session.writer(by), derive_after=False, say=session.say)
    session.done(f"Load {load_no} is in force again.")
    publish(session)


# --- tables ----------------------------------------------------------------------------------------------------------


@main.command()
@click.pass_obj
def derive(session: Session) -> None:
    """Compute the derived tables and publish a new board."""
    publish(session, anew=True)
    session.done("The board is published.")


@main.command()
@click.argument("table_name", metavar="TABLE")
@click.option("--out", type=click.Path(path_type=Path), default=Path(), metavar="DIR|FILE", help="Where to write it.")
@click.option("--format", "ending", type=click.Choice(["csv", "xlsx"]), help="Kind of file; else by the file's ending.")
@click.pass_obj
def template(session: Session, table_name: str, out: Path, ending: str | None) -> None:
    """Write an empty file with the right headers for a record table."""
    from pipelines import flow

    path = flow.template(table_name, out, ending or "")
    session.done(f"Written: {path}")


@main.command()
@click.option("--json", "as_json", is_flag=True, help="Open Table Schema descriptors, as one JSON document.")
def dictionary(as_json: bool) -> None:
    """Print what every table and column means."""
    from pipelines import flow

    click.echo(flow.dictionary(as_json=as_json))


for command in (
    *cli_federation.COMMANDS,
    *cli_files.COMMANDS,
    *cli_keeping.COMMANDS,
    *cli_people.COMMANDS,
    *cli_sheets.COMMANDS,
):
    main.add_command(command)

if __name__ == "__main__":
    main()
