"""The commands about people: who may sign in, and all data of one person, to hand over or to erase."""

import sys
from pathlib import Path

import click

from pipelines.cli.options import COULD_NOT, DONE, Session, by_option, json_option
from pipelines.errors import ThirdstepError

ROLES = ["head_coach", "staff", "athlete", "guardian"]


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
@click.option("--role", type=click.Choice(ROLES), required=True, help="What they may read.")
@click.option("--athlete", "athlete_id", metavar="ID", help="Whose page an athlete's or a guardian's account opens.")
@click.option("--group", "groups", multiple=True, help="An event group that staff may read; give it several times.")
@click.option("--injuries", is_flag=True, help="Let staff read injury detail and check-in notes.")
@click.option("--invite", "by_invitation", is_flag=True, help="Print an invitation instead of asking a pass-phrase.")
@passphrase_option
@by_option
@click.pass_obj
def account_add(
    session: Session,
    name: str,
    role: str,
    athlete_id: str | None,
    groups: tuple[str, ...],
    injuries: bool,
    by_invitation: bool,
    passphrase_stdin: bool,
    by: str,
) -> None:
    """Add an account."""
    from pipelines import flow

    accounts = flow.accounts(session.home)
    if athlete_id and athlete_id not in flow.table(session.home, "athlete", session.say)["athlete_id"]:
        raise ThirdstepError(f"There is no athlete '{athlete_id}'. 'thirdstep table athlete' lists them.")
    passphrase = None if by_invitation else _passphrase(passphrase_stdin)
    accounts.add(name, role, passphrase, athlete_id=athlete_id, groups=groups, reads_injuries=injuries or None, by=by)
    if by_invitation:
        _tell_invitation(accounts.invite(name, by=by), name, session)
    else:
        session.done(f"'{name}' can sign in.")


def _tell_invitation(token: str, name: str, session: Session) -> None:
    from pipelines.accounts.invitations import INVITATION_DAYS

    click.echo(f"/join#{token}")
    session.done(
        f"Put the dashboard's address before it and send it to '{name}' alone. "
        f"It works once, for {INVITATION_DAYS} days."
    )


@account.command(name="invite")
@click.argument("name")
@by_option
@click.pass_obj
def account_invite(session: Session, name: str, by: str) -> None:
    """Print an invitation with which an account sets a pass-phrase of its own."""
    from pipelines import flow

    _tell_invitation(flow.accounts(session.home).invite(name, by=by), name, session)


@account.command(name="list")
@json_option
@click.pass_obj
def account_list(session: Session, as_json: bool) -> None:
    """List the accounts."""
    from pipelines import flow
    from pipelines.entry import report

    for one in flow.accounts(session.home).list():
        told = {name: value for name, value in vars(one).items() if "hash" not in name}
        click.echo(report.as_json(told) if as_json else "  ".join(f"{n}: {v}" for n, v in told.items() if v))


@account.command(name="reset")
@click.argument("name")
@passphrase_option
@by_option
@click.pass_obj
def account_reset(session: Session, name: str, passphrase_stdin: bool, by: str) -> None:
    """Give an account a new pass-phrase; it is signed out everywhere."""
    from pipelines import flow

    flow.accounts(session.home).reset(name, _passphrase(passphrase_stdin), by=by)
    session.done(f"'{name}' has a new pass-phrase.")


@account.command(name="email")
@click.argument("name")
@click.argument("address", required=False)
@by_option
@click.pass_obj
def account_email(session: Session, name: str, address: str | None, by: str) -> None:
    """Tie an account to an ADDRESS of the club's own sign-in; without one, untie it."""
    from pipelines import flow

    flow.accounts(session.home).set_email(name, address, by=by)
    session.done(f"'{name}' " + (f"can come in through the club as {address}." if address else "has no club address."))


@account.command(name="close")
@click.argument("name")
@by_option
@click.pass_obj
def account_close(session: Session, name: str, by: str) -> None:
    """Close an account; it is signed out everywhere."""
    from pipelines import flow

    flow.accounts(session.home).close(name, by=by)
    session.done(f"'{name}' can no longer sign in.")


@account.command(name="second-off")
@click.argument("name")
@by_option
@click.pass_obj
def account_second_off(session: Session, name: str, by: str) -> None:
    """Take an account's second factor off, where phone and recovery codes are lost."""
    from pipelines import flow

    flow.accounts(session.home).remove_second(name, by=by)
    session.done(f"'{name}' signs in with the pass-phrase alone until a second factor is set up again.")


@account.command(name="ask-second")
@click.argument("whom", type=click.Choice(["nobody", "head_coach", "coaches", "everybody"]))
@by_option
@click.pass_obj
def account_ask_second(session: Session, whom: str, by: str) -> None:
    """Say who must have a second factor: nobody, head coaches, coaches (with staff), or everybody.

    Who has none finds nothing open but setting it up, from the next click on. 'account second-off' takes a lost one
    off, so nobody is locked out for good.
    """
    from pipelines import flow

    flow.accounts(session.home).ask_second(whom, by=by)
    said = {"nobody": "Nobody is asked for a second factor; who has one keeps it."}
    session.done(said.get(whom, "Who has none is led to setting it up, and finds nothing else open until it is on."))


@account.command(name="trail")
@click.option("--last", type=click.IntRange(1), default=50, show_default=True, help="How many lines.")
@json_option
@click.pass_obj
def account_trail(session: Session, last: int, as_json: bool) -> None:
    """Print who did what: sign-ins, reads of injury detail, changes, exports, erasures."""
    from pipelines import flow
    from pipelines.entry import report

    for at, who, what, about in flow.accounts(session.home).trail(last):
        told = {"at": at, "who": who, "what": what, "about": about}
        click.echo(report.as_json(told) if as_json else f"{at[:19]}  {who}: {what}{f' ({about})' if about else ''}")


# --- one person's data -----------------------------------------------------------------------------------------------


@click.group()
def person() -> None:
    """Hand over or erase all data of one person."""


@person.command(name="export")
@click.argument("athlete_id", metavar="ATHLETE")
@click.option("--out", "target", required=True, metavar="FILE.zip|-", help="The file, or '-' to print its bytes.")
@click.option("--without-notes", is_flag=True, help="Leave free text out, as a guardian reads it.")
@by_option
@click.pass_obj
def person_export(session: Session, athlete_id: str, target: str, without_notes: bool, by: str) -> None:
    """Write all data of one person to a zip file: to read, and for programs."""
    from pipelines import flow

    content = flow.export_person(session.home, athlete_id, by, notes=not without_notes, say=session.say)
    if target == "-":
        sys.stdout.buffer.write(content)
        return
    flow.write_file(Path(target), content)
    session.done(f"All data of '{athlete_id}' are in {target}. It holds health data: keep it safe.")


@person.command(name="erase")
@click.argument("athlete_id", metavar="ATHLETE")
@click.option("--yes", "confirmed", metavar="ATHLETE", help="The same name again, instead of being asked for it.")
@by_option
@json_option
@click.pass_context
def person_erase(ctx: click.Context, athlete_id: str, confirmed: str | None, by: str, as_json: bool) -> None:
    """Erase one person from sources, record, history, boards and accounts. It cannot be undone."""
    from pipelines import flow
    from pipelines.entry import report

    session: Session = ctx.obj
    said = confirmed or click.prompt(f"This cannot be undone. Type {athlete_id} to erase this person")
    if said != athlete_id:
        raise ThirdstepError("The name was not the same. Nothing was erased.")
    with report.progress(session.quiet or as_json) as tell:
        receipt = flow.erase_person(session.home, athlete_id, by, say=session.say, tell=tell)
    if as_json:
        click.echo(report.as_json(vars(receipt)))
    else:
        session.done(
            f"Erased: {receipt.rows} rows; {receipt.sources_changed} sources changed, {receipt.sources_gone} gone, "
            f"{receipt.waiting} cells that waited, {receipt.accounts} accounts, {receipt.log_lines} lines of the "
            "dashboard's log. Links to take a file away that were made before lead nowhere now."
        )
        if receipt.taken_away:
            click.echo(
                f"{receipt.taken_away} files and printed sheets left this home until now (thirdstep account trail says "
                "who took them). Those with this person's rows are to be destroyed by whoever has them."
            )
        for name in receipt.outside:
            click.echo(f"{name} may still hold them: delete it, or make it again. So may backups kept elsewhere.")
        for trace in receipt.traces:
            click.echo(f"The name still stands in {trace}.", err=True)
    ctx.exit(COULD_NOT if receipt.traces else DONE)


@person.command(name="past-keeping")
@click.option("--erase", is_flag=True, help="Erase what is listed, after asking. It cannot be undone.")
@click.option("--yes", "agreed", is_flag=True, help="Erase without being asked.")
@by_option
@json_option
@click.pass_obj
def person_past_keeping(session: Session, erase: bool, agreed: bool, by: str, as_json: bool) -> None:
    """List what is older than the settings say it is kept; with --erase, erase it then."""
    from pipelines import flow
    from pipelines.entry import report

    found = flow.past_keeping(session.home, say=session.say)
    for row in found.iter_rows(named=True):
        said = f"{row['athlete_id']}: {row['rows']} rows of {row['what']}, the oldest of {row['oldest_on']}"
        click.echo(report.as_json(row) if as_json else said)
    if found.is_empty():
        session.done("Nothing is past its keeping.")
        return
    if not erase:
        return
    if not agreed and click.prompt("This cannot be undone. Type ERASE to erase all of this") != "ERASE":
        raise ThirdstepError("Nothing was erased.")
    with report.progress(session.quiet or as_json) as tell:
        rows, left, people = flow.erase_past_keeping(session.home, by, say=session.say, tell=tell)
    if as_json:
        click.echo(report.as_json({"rows": rows, "left": left, "people": people}))
        return
    told = ", ".join(f"{count} of {name}" for name, count in rows.items()) or "none"
    session.done(f"Erased: {people} people; rows: {told}. Backups made before hold them: make them again.")
    for name, count in left.items():
        click.echo(f"{count} rows of {name} stay: their lines in the kept files say something else that is kept.")


COMMANDS: list[click.Command] = [account, person]
