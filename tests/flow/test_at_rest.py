"""Files at rest: who may read a home, sealed and signed backups, and what a backup brings told before it is taken."""

import json
import os
import shutil
import sqlite3
import stat
import zipfile
from contextlib import closing

import pytest
from click.testing import CliRunner

from pipelines import flow
from pipelines.cli.main import main
from pipelines.errors import ThirdstepError
from pipelines.home import permissions, sealing
from pipelines.home.folder import Home
from pipelines.home.sealing import Sealer, unseal
from pipelines.record import unpacking
from tests.flow.squad import ROSTER, fill, load_roster

pytestmark = pytest.mark.usefixtures("small_derived")
PHRASE = "six dry words on a shelf"
posix = pytest.mark.skipif(os.name != "posix", reason="permissions are those of POSIX")


def mode(path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.fixture(autouse=True)
def _cheap_key(monkeypatch):
    monkeypatch.setattr(sealing, "COST", 1 << 4)  # these tests are about the pieces, not about the cost of a guess


def with_a_coach(home: Home) -> None:
    load_roster(home)
    flow.accounts(home).add("coach", "head_coach", "three-steps-first")


@pytest.fixture
def squad(home) -> Home:
    return fill(home, with_a_coach)


@posix
def test_a_home_made_beforehand_is_closed_to_others(home):
    home.sources.mkdir(parents=True)
    open_file = home.sources / "kept"
    open_file.touch()
    for path, bits in ((home.root, 0o755), (home.sources, 0o777), (open_file, 0o644)):
        path.chmod(bits)
    home.prepare()
    assert [mode(path) for path in (home.root, home.sources, open_file)] == [0o700, 0o700, 0o600]


@posix
@pytest.mark.parametrize("bits", [0o755, 0o750, 0o711])
def test_an_open_folder_that_holds_other_things_is_refused_in_a_sentence(home, bits):
    home.root.mkdir()
    (home.root / "holiday.jpg").touch()
    home.root.chmod(bits)
    with pytest.raises(ThirdstepError, match=r"holds other things.*--home DIR"):
        home.prepare()
    assert mode(home.root) == bits


@posix
def test_a_home_of_another_user_that_others_read_is_refused_in_a_sentence(home, monkeypatch):
    home.root.mkdir(mode=0o755)
    home.root.chmod(0o755)
    monkeypatch.setattr(permissions.os, "geteuid", lambda: home.root.stat().st_uid + 1)
    with pytest.raises(ThirdstepError, match=r"belongs to another user.*chmod 700"):
        home.prepare()


@posix
def test_verify_names_a_home_that_others_can_read(squad):
    flow.derive_board(squad)
    squad.root.chmod(0o755)
    wrong = permissions.open_to_others(squad.root)
    assert next(wrong) == f"'{squad.root}'"
    assert not [said for said in flow.verify(squad) if "read" in said[0] and said[1]]  # opening it closed the door


@posix
def test_what_a_command_writes_is_its_owner_s_alone(squad, tmp_path):
    out = tmp_path / "out"
    out.mkdir(mode=0o755)
    asked = ["--home", str(squad.root)]
    for command in (
        ["table", "athlete", "--csv", str(out / "a.csv"), "--xlsx", str(out / "a.xlsx")],
        ["person", "export", "ada-reed", "--out", str(out / "a.zip")],
        ["backup", str(out / "b.zip")],
    ):
        assert CliRunner().invoke(main, [*asked, *command]).exit_code == 0
    flow.write_file(out / "sheet.pdf", b"%PDF")
    assert {path.name: mode(path) for path in out.iterdir()} == dict.fromkeys(
        ("a.csv", "a.xlsx", "a.zip", "b.zip", "sheet.pdf"), 0o600
    )


@posix
def test_whoever_reads_a_file_of_the_inbox_reads_its_receipt(squad, tmp_path):
    box = tmp_path / "box"
    box.mkdir()
    for name, bits in (("ours.csv", 0o644), ("mine.csv", 0o600)):
        (box / name).write_text(ROSTER, encoding="utf-8")
        (box / name).chmod(bits)
    asked = ["--home", str(squad.root), "inbox", str(box), "--once"]
    assert CliRunner().invoke(main, asked).exit_code == 0
    assert [mode(box / f"{name}.receipt.txt") for name in ("ours.csv", "mine.csv")] == [0o644, 0o600]


def test_a_sealed_backup_shows_nothing_and_opens_with_its_phrase_alone(squad, tmp_path):
    file = tmp_path / "away" / "b.sealed"
    flow.backup(squad, file, phrase=PHRASE)
    assert not zipfile.is_zipfile(file)
    content = file.read_bytes()  # long words: three letters come up by chance in so many bytes that look random
    assert not any(word in content for word in (b"Ada Reed", b"ada-reed", b"athlete_id"))
    for number, phrase in enumerate(("", "another phrase of words", PHRASE + " ")):
        fresh = Home(tmp_path / f"fresh-{number}")
        if number < 2:
            with pytest.raises(ThirdstepError, match=r"sealed|does not open"):
                flow.restore(fresh, file, phrase=phrase)
            assert not fresh.record.exists()
            assert not list(fresh.root.glob("restoring*"))
        else:
            flow.restore(fresh, file, phrase=phrase)
            assert flow.table(fresh, "athlete").equals(flow.table(squad, "athlete"))


@pytest.mark.parametrize("phrase", ["short", "a" * 30])
def test_a_backup_is_not_sealed_with_a_phrase_that_is_guessed(squad, tmp_path, phrase):
    with pytest.raises(ThirdstepError, match=f"at least 16 characters, not {len(phrase)}"):
        flow.backup(squad, tmp_path / "b.sealed", phrase=phrase)
    assert not list(tmp_path.glob("b.sealed*"))


@pytest.mark.parametrize("length", [0, 1, 31, 32, 33, 64, 100])
def test_sealed_pieces_cannot_be_changed_moved_or_cut_off(tmp_path, monkeypatch, length):
    monkeypatch.setattr(sealing, "PIECE_BYTES", 32)
    content = bytes(range(256))[:length]
    sealed, opened = tmp_path / "sealed", tmp_path / "opened"
    with sealed.open("wb") as target, Sealer(target, PHRASE) as sealer:
        sealer.write(content[:7])
        sealer.write(content[7:])
    whole = sealed.read_bytes()

    def attempt(told: bytes) -> bytes:
        sealed.write_bytes(told)
        with sealed.open("rb") as source, opened.open("wb") as target:
            unseal(source, target, PHRASE, "b")
        return opened.read_bytes()

    assert attempt(whole) == content
    head, piece = sealing.HEADER_BYTES, 32 + sealing.TAG_BYTES
    changed = [whole[:-1], whole[: head + piece] if length > 32 else whole[:head], whole + b"x"]
    changed += [whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :] for place in range(20, len(whole), 7)]
    if length > 64:
        one, two = whole[head : head + piece], whole[head + piece : head + 2 * piece]
        changed.append(whole[:head] + two + one + whole[head + 2 * piece :])
    for told in changed:
        with pytest.raises(ThirdstepError, match=r"does not open|was changed"):
            attempt(told)


def rewrite(file, told, **put: bytes):
    """Write a backup again with other members, as somebody who has the file can."""
    with zipfile.ZipFile(file) as old:
        parts = {name: old.read(name) for name in old.namelist()} | put
    with zipfile.ZipFile(told, "w") as new:
        for name, content in parts.items():
            new.writestr(name, content)


def manifest_of(file) -> dict:
    with zipfile.ZipFile(file) as archive:
        return json.loads(archive.read(unpacking.MANIFEST))


def test_a_backup_changed_after_it_was_signed_is_refused(squad, tmp_path):
    flow.backup(squad, tmp_path / "b.zip")
    told = manifest_of(tmp_path / "b.zip") | {"made_at": "2020-01-01T00:00:00"}
    rewrite(tmp_path / "b.zip", tmp_path / "c.zip", **{unpacking.MANIFEST: json.dumps(told).encode()})
    with pytest.raises(ThirdstepError, match="changed after it was signed"):
        flow.restore(Home(tmp_path / "fresh"), tmp_path / "c.zip")


def test_who_signed_a_backup_is_told_and_can_be_asked_for(squad, tmp_path):
    _, signed_by = flow.backup(squad, tmp_path / "b.zip")
    forged = Home(tmp_path / "forged")
    flow.restore(forged, tmp_path / "b.zip")
    assert not (forged.root / "backup-key.pem").exists()  # the key stays where it is
    flow.backup(forged, tmp_path / "c.zip")
    with pytest.raises(ThirdstepError, match=r"is signed by .* not by"):
        flow.restore(Home(tmp_path / "fresh"), tmp_path / "c.zip", signed_by=signed_by)
    flow.restore(Home(tmp_path / "fresh"), tmp_path / "b.zip", signed_by=signed_by.upper().replace(" ", ""))
    with zipfile.ZipFile(tmp_path / "d.zip", "w") as bare, zipfile.ZipFile(tmp_path / "b.zip") as old:
        for name in set(old.namelist()) - {unpacking.SIGNATURE}:
            bare.writestr(name, old.read(name))
    with pytest.raises(ThirdstepError, match="is not signed, not by"):
        flow.restore(Home(tmp_path / "other"), tmp_path / "d.zip", signed_by=signed_by)


def test_an_entry_larger_than_it_says_is_not_taken(squad, tmp_path):
    flow.backup(squad, tmp_path / "b.zip")
    told = manifest_of(tmp_path / "b.zip")
    told["bytes"]["settings.toml"] = 3
    told["files"]["settings.toml"] = "0" * 64
    swollen = {unpacking.MANIFEST: json.dumps(told).encode(), "settings.toml": b"0" * 100_000}
    with zipfile.ZipFile(tmp_path / "b.zip") as old, zipfile.ZipFile(tmp_path / "c.zip", "w") as new:
        for name in {*old.namelist(), "settings.toml"} - {unpacking.SIGNATURE}:
            new.writestr(name, swollen.get(name) or old.read(name))
    with pytest.raises(ThirdstepError, match="larger than the 3 bytes it says"):
        flow.restore(Home(tmp_path / "fresh"), tmp_path / "c.zip")


@pytest.mark.parametrize(
    ("name", "says"),
    [("backup-key.pem", "no backup of thirdstep has"), ("../outside", "outside the home"),
     ("sources/../openid-secret.txt", "no backup of thirdstep has")],
)  # fmt: skip
def test_a_backup_brings_no_file_that_no_backup_has(squad, tmp_path, name, says):
    flow.backup(squad, tmp_path / "b.zip")
    told = manifest_of(tmp_path / "b.zip")
    told["files"][name], told["bytes"][name] = "0" * 64, 1
    with zipfile.ZipFile(tmp_path / "b.zip") as old, zipfile.ZipFile(tmp_path / "c.zip", "w") as new:
        for one in set(old.namelist()) - {unpacking.SIGNATURE, unpacking.MANIFEST}:
            new.writestr(one, old.read(one))
        new.writestr(name, b"x")
        new.writestr(unpacking.MANIFEST, json.dumps(told))
    with pytest.raises(ThirdstepError, match=says):
        flow.restore(Home(tmp_path / "fresh"), tmp_path / "c.zip")


def test_accounts_and_a_club_s_sign_in_are_told_before_they_are_taken(squad, tmp_path):
    (squad.root / "openid.toml").write_text('issuer = "https://elsewhere.example"\n', encoding="utf-8")
    flow.accounts(squad).invite("coach")
    token = flow.accounts(squad).sign_in("coach", "three-steps-first")
    flow.backup(squad, tmp_path / "b.zip")
    fresh = tmp_path / "fresh"
    ask = ["--home", str(fresh), "restore", str(tmp_path / "b.zip")]
    said = CliRunner().invoke(main, ask, input="n\n")
    for told in ("coach (head_coach)", "https://elsewhere.example", "Signed by ", "Nothing was restored."):
        assert told in said.output
    assert said.exit_code == 1
    assert not (fresh / "access.sqlite").exists()
    assert CliRunner().invoke(main, [*ask, "--yes", "--without-accounts"]).exit_code == 0
    assert not (fresh / "openid.toml").exists()
    assert flow.accounts(Home(fresh)).list() == []
    shutil.rmtree(fresh)
    assert CliRunner().invoke(main, ask, input="y\n").exit_code == 0
    again = flow.accounts(Home(fresh))
    assert [one.name for one in again.list()] == ["coach"]
    from pipelines.accounts.accounts import token_sha256

    assert again.account_of(token_sha256(token)) is None  # a sign-in of the backup's day is none of today


def test_accounts_that_would_act_by_themselves_are_not_taken(squad, tmp_path):
    with closing(sqlite3.connect(squad.access)) as db, db:
        db.execute("create trigger later after insert on trail begin update account set role = 'head_coach'; end")
    flow.backup(squad, tmp_path / "b.zip")
    with pytest.raises(ThirdstepError, match="act by themselves"):
        flow.restore(Home(tmp_path / "fresh"), tmp_path / "b.zip")


def test_a_backup_is_sealed_and_opened_from_the_command_line(squad, tmp_path):
    file, fresh = str(tmp_path / "b.sealed"), ["--home", str(tmp_path / "fresh")]
    made = CliRunner().invoke(main, ["--home", str(squad.root), "backup", file, "--sealed"], input=f"{PHRASE}\n" * 2)
    assert (made.exit_code, "It is sealed" in made.output, "Signed by" in made.output) == (0, True, True)
    assert (
        CliRunner().invoke(main, [*fresh, "restore", file, "--yes"], input="another phrase of words\n").exit_code == 1
    )
    assert CliRunner().invoke(main, [*fresh, "restore", file, "--yes"], input=f"{PHRASE}\n").exit_code == 0
