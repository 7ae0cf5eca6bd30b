"""The commands on rows and files: mend what waits, answers remembered, tables as files, a watched folder."""

import datetime as dt
from collections.abc import Sequence
from pathlib import Path

import click

from pipelines.cli.options import DONE, Session, by_option, exit_code, json_option, publish, whoami

day = click.DateTime(formats=["%Y-%m-%d"])


@click.command()
@click.argument("name")
@click.option("--csv", "csv_file", metavar="FILE|-", help="Write as CSV (RFC 4180) to a file, or '-' to print.")
@click.option("--xlsx", "xlsx_file", metavar="FILE", help="Write as a workbook.")
@click.option("--parquet", "parquet_file", metavar="FILE", help="Write as Parquet.")
@click.option("--athlete", "athletes", multiple=True, metavar="ID", help="Only this athlete; give it several times.")
@click.option("--from", "first", type=day, metavar="DAY", help="Only from this day on.")
@click.option("--to", "last", type=day, metavar="DAY", help="Only up to this day.")
@click.option("--as-written", is_flag=True,
              help="Leave texts as they are. Without it, a text that a spreadsheet would take for a formula (= + - @) "
                   "gets an apostrophe before it in a CSV; loading the file takes it away again.")  # fmt: skip
@click.option("--count", is_flag=True, help="Print the number of rows only.")
@click.pass_obj
def table(
    session: Session,
    name: str,
    csv_file: str | None,
    xlsx_file: str | None,
    parquet_file: str | None,
    athletes: tuple[str, ...],
    first: dt.datetime | None,
    last: dt.datetime | None,
    as_written: bool,
    count: bool,
) -> None:
    """Print a record table, a derived table or a log table, or write it to a file."""
    from pipelines import flow
    from pipelines.entry import report

    if not any((csv_file, xlsx_file, parquet_file, athletes, first, last)):
        rows = flow.look(session.home, name, session.say, most=0 if count else report.ROWS_SHOWN)
        if count:
            click.echo(rows.count)
        else:
            report.print_rows(rows)
        return
    from pipelines.outputs import tables as exports
    from pipelines.record.looking import Rows

    frame = flow.table(session.home, name, session.say)
    frame = exports.narrowed(frame, athletes, first.date() if first else None, last.date() if last else None)
    if count:
        click.echo(frame.height)
        return
    if csv_file == "-":
        click.echo(exports.csv_bytes(frame, safe=not as_written), nl=False)
    for file, make in (
        (csv_file if csv_file != "-" else None, lambda: exports.csv_bytes(frame, safe=not as_written)),
        (xlsx_file, lambda: exports.workbook_bytes(frame, name)),
        (parquet_file, lambda: exports.parquet_bytes(frame)),
    ):
        if file:
            flow.write_file(Path(file), make())
            flow.note_taken(session.home, whoami(), f"table taken away: {name}", athletes[0] if athletes else "")
            session.done(f"{frame.height} rows written to {file}.")
    if not any((csv_file, xlsx_file, parquet_file)):
        report.print_rows(Rows.of(frame, report.ROWS_SHOWN))


@click.command()
@click.argument("reject_no", type=int, metavar="REJECT_NO")
@click.argument("cells", nargs=-1, required=True, metavar="COLUMN VALUE [COLUMN VALUE ...]")
@click.option("--check-only", is_flag=True, help="Say what would happen and store nothing.")
@by_option
@click.option("--no-derive", is_flag=True, help="Store only; compute and publish later with 'thirdstep derive'.")
@click.pass_obj
def mend(session: Session, reject_no: int, cells: Sequence[str], check_only: bool, by: str, no_derive: bool) -> None:
    """Put right what stands in a cell of a row that waits ('thirdstep rejected' gives the number).

    COLUMN is the header as the file writes it; VALUE "" empties the cell. The fix is kept as a source with who and
    when; the row as written stays beside it, and later files with the same row get the same fix.
    """
    from pipelines import flow

    if len(cells) % 2:
        raise click.UsageError(f"'{cells[-1]}' has no value: give COLUMN and VALUE in pairs.")
    fixes = dict(zip(cells[::2], cells[1::2], strict=True))
    outcome = flow.mend(session.home, reject_no, fixes, session.writer(by), check_only=check_only, say=session.say)
    if check_only:
        session.done(f"The row would be stored ({', '.join(outcome.tables)}). Checked only: nothing was stored.")
        return
    session.done(
        f"The row is mended and stored as load {outcome.load_no}; 'thirdstep undo {outcome.load_no}' undoes it."
    )
    if not no_derive:
        publish(session)


@click.command()
@click.argument("reject_no", type=int, metavar="REJECT_NO")
@click.argument("how", type=click.Choice(["keep", "both", "dismiss"]))
@by_option
@click.option("--no-derive", is_flag=True, help="Store only; compute and publish later with 'thirdstep derive'.")
@click.pass_obj
def settle(session: Session, reject_no: int, how: str, by: str, no_derive: bool) -> None:
    """Settle a conflict: keep the row of this cell, keep both, or dismiss it ('thirdstep rejected' gives the number).

    'keep' stores the row and drops the other side; 'both' stores it as a run, set or trial of its own beside the other;
    'dismiss' stores neither. It is a load like any other, and 'thirdstep undo' opens the conflict again.
    """
    from pipelines import flow

    outcome = flow.settle(session.home, reject_no, how, by, say=session.say)
    session.done(f"Settled as load {outcome.load_no}; 'thirdstep undo {outcome.load_no}' opens it again.")
    if not no_derive and how != "dismiss":
        publish(session)


@click.group(invoke_without_command=True)
@json_option
@click.pass_context
def answers(ctx: click.Context, as_json: bool) -> None:
    """List what was asked of a layout and answered; 'thirdstep answers forget' takes an answer away."""
    from pipelines import flow
    from pipelines.entry import report

    session: Session = ctx.obj
    if ctx.invoked_subcommand is not None:
        return
    told = flow.list_answers(session.home)
    for one in told:
        about = f" '{one['about']}'" if one["about"] else ""
        click.echo(
            report.as_json(one)
            if as_json
            else f"{one['layout']}  {one['ask']}{about} = {one['answer']}  ({report.layout_said(one)}; "
            f"{one['answered_by']}, {one['answered_at']})"
        )
    if not told and not as_json:
        session.done("Nothing was asked and answered yet.")


@answers.command()
@click.argument("layout")
@click.argument("ask")
@click.argument("about", default="")
@click.pass_obj
def forget(session: Session, layout: str, ask: str, about: str) -> None:
    """Take one answer away, so that it is asked again. What was loaded with it stays as it was loaded."""
    from pipelines import flow

    flow.forget(session.home, layout, ask, about)
    session.done("Forgotten; it will be asked again.")


@click.command()
@click.argument("folder", type=click.Path(exists=True, file_okay=False, path_type=Path), metavar="DIR")
@click.option("--once", is_flag=True, help="Load what is there now and end.")
@by_option
@click.pass_context
def inbox(ctx: click.Context, folder: Path, once: bool, by: str) -> None:
    """Load what arrives in a folder and leave a receipt beside each file. Ctrl-C ends it.

    A file is loaded once it has stopped growing. Its receipt is named like it, with .receipt.txt behind.
    """
    from pipelines import flow
    from pipelines.entry import report

    session: Session = ctx.obj
    outcomes: list[flow.Outcome] = []

    def done(outcome: flow.Outcome, receipt: Path) -> None:
        outcomes.append(outcome)
        session.done(f"{report.in_one_line(outcome)}  Receipt: {receipt.name}")

    flow.watch_inbox(
        session.home, folder, session.writer(by), once=once, done=done, publish=lambda: publish(session),
        say=session.say,
    )  # fmt: skip
    ctx.exit(exit_code(outcomes) if outcomes else DONE)


COMMANDS: list[click.Command] = [table, mend, settle, answers, inbox]
