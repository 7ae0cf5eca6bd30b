"""A run over several homes: what is done, what is left alone, what is left out, and what is gone for good."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import duckdb
import polars as pl
import pytest

pytest.importorskip("ibis", reason="needs the extra: uv run --extra federation pytest")
pytest.importorskip("deltalake", reason="needs the extra: uv run --extra federation pytest")

from click.testing import CliRunner

from pipelines import flow
from pipelines.cli.main import main
from pipelines.entry.bringing import load_files
from pipelines.errors import ThirdstepError
from pipelines.federation import demo, running
from pipelines.federation.export import LIST, SECRET, export, join, secret_of, squads_of
from pipelines.federation.lake import Lake
from pipelines.federation.share import pseudonym
from pipelines.federation.task import Told, kept_path
from pipelines.home.folder import Home
from pipelines.record import opening
from schemas.shared import SHARED
from seed_data import federation as seed
from seed_data.squad import LAST_DAY
from tests.federation.conftest import ATHLETES, SQUADS, home_of, homes_of

FIRST = "coldmere"


class Meddling(running.Here):
    """This process, where somebody meddles with files before or after the tasks, or with what they say."""

    def __init__(self, before: Callable[[], None] | None = None, after: Callable[[], None] | None = None) -> None:
        self.before, self.after = before, after

    def derive(self, wishes, tell):
        if self.before:
            self.before()
        told = super().derive(wishes, tell)
        if self.after:
            self.after()
        return told


class Elsewhere(Meddling):
    """As another machine: its tables are compared with this one's."""

    name = "another machine"


class Never(running.Here):
    def derive(self, wishes, tell):
        raise AssertionError(f"derived again: {wishes}")


def everything_in(folder: Path) -> bytes:
    """Return all bytes of a folder, and every value of every table in it, in force or not."""
    found = []
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            found.append(path.read_bytes())
            if path.suffix == ".parquet":
                found.append(pl.read_parquet(path, hive_partitioning=False).write_csv().encode())
    return b"\n".join(found)


def all_again(federation: Path, key: str = FIRST) -> None:
    """Make something new of a squad: a comment in its settings is nothing, another day of consent is."""
    told = b"athlete_id,topic,given_on\n" + seed.people(1, ATHLETES)[2].athlete_id.encode() + b",sharing,2026-11-01\n"
    load_files(home_of(federation, key), [("consent.csv", told)], demo.COACH, derive_after=False)


def test_a_run_publishes_every_squad_and_says_what_it_asked(federation: Path):
    lake = Lake(federation / "lake")
    now = lake.current()
    assert sorted(now.squads) == sorted(seed.squad_key(number) for number in range(1, SQUADS + 1))
    for name in SHARED:
        assert set(lake.read(name)["squad"]) == set(now.squads)
    [path] = (federation / "reference").iterdir()
    assert path.name == "reference-2026-q4.csv"
    told = pl.read_csv(path)
    assert {"typical_error", "flags"} <= set(told["question"])


def test_a_second_run_with_nothing_new_does_nothing(federation: Path):
    files = {path: path.stat().st_mtime_ns for path in federation.rglob("*") if path.is_file()}
    report = running.run(homes_of(federation), federation, Never())
    assert len(report.unchanged) == SQUADS
    assert not report.derived
    assert not report.answers
    after = {path: path.stat().st_mtime_ns for path in federation.rglob("*") if path.is_file()}
    moved = {path.name for path in after if after[path] != files.get(path)} | {
        p.name for p in files.keys() - after.keys()
    }
    assert not moved - {"record.duckdb", "record.lock"}  # opened to look


def test_what_is_new_in_one_squad_derives_that_one_and_the_quarter_stays_as_published(federation: Path):
    all_again(federation)
    before = Lake(federation / "lake").read("shared_run").filter(pl.col("squad") != FIRST)
    report = running.run(homes_of(federation), federation, running.Here())
    assert [one.squad for one in report.derived] == [FIRST]
    assert report.current.number == 2
    assert not report.is_new_reference
    assert Lake(federation / "lake").read("shared_run").filter(pl.col("squad") != FIRST).equals(before)


def test_the_record_does_not_stay_beside_what_is_shared(federation: Path):
    for home in homes_of(federation):
        assert {path.name for path in home.federation.iterdir()} == {"shared"}


def test_nothing_that_names_anybody_stands_in_any_published_byte(federation: Path):
    said = everything_in(federation / "lake") + everything_in(federation / "reference")
    told = everything_in(federation / "reference")
    for number in range(1, SQUADS + 1):
        home = home_of(federation, seed.squad_key(number))
        secret = secret_of(home)
        assert secret.hex().encode() not in said
        for one in seed.people(number, ATHLETES):
            for word in (one.athlete_id, one.display_name, one.display_name.split()[1], one.birth_date.isoformat()):
                assert word.encode() not in said, word
            assert pseudonym(secret, seed.squad_key(number), one.athlete_id).encode() not in told


def test_no_day_and_no_word_of_an_injury_is_in_the_lake(federation: Path):
    said = everything_in(federation / "lake")
    assert b"hamstring" not in said
    assert not [
        column for name in SHARED for column in Lake(federation / "lake").read(name).columns if "date" in column
    ]
    assert b"2026-11-1" not in said


def test_who_takes_the_consent_back_is_gone_from_every_byte_after_the_next_run(federation: Path):
    home = home_of(federation, FIRST)
    who = seed.people(1, ATHLETES)[0].athlete_id
    name = pseudonym(secret_of(home), FIRST, who).encode()
    assert name in everything_in(federation / "lake")
    [given] = pl.read_csv(seed.squad_files(1, ATHLETES, 14)["consent.csv"]).filter(athlete_id=who)["given_on"]
    back = f"athlete_id,topic,given_on,withdrawn_on\n{who},sharing,{given},{LAST_DAY}\n".encode()
    load_files(home, [("consent.csv", back)], demo.COACH, derive_after=False)
    running.run(homes_of(federation), federation, running.Here())
    assert name not in everything_in(federation / "lake")
    assert name not in everything_in(home.federation)
    assert (
        Lake(federation / "lake").read("shared_run").filter(squad=FIRST)["person"].n_unique() == 2
    )  # of 4; 1 never agreed


def test_an_erased_person_is_gone_from_the_home_at_once_and_from_the_lake_after_the_next_run(federation: Path):
    home = home_of(federation, FIRST)
    who = seed.people(1, ATHLETES)[0].athlete_id
    name = pseudonym(secret_of(home), FIRST, who).encode()
    assert name in everything_in(home.federation)
    assert not flow.erase_person(home, who, "coach").traces
    assert not home.federation.exists()
    running.run(homes_of(federation), federation, running.Here())
    assert name not in everything_in(federation / "lake") + everything_in(home.federation)


def test_the_command_says_what_it_did_and_ends_with_three_where_a_squad_is_left_out(federation: Path):
    homes = [str(home.root) for home in homes_of(federation)]
    command = ["federation", "run", *homes, "--folder", str(federation), "--here"]
    told = CliRunner().invoke(main, command)
    assert told.exit_code == 0
    assert f"Nothing new in {SQUADS} squads; nothing was done." in told.output
    (home_of(federation, FIRST).root / SECRET).unlink()
    told = CliRunner().invoke(main, command)
    assert told.exit_code == 3
    assert "Squad 'coldmere' is left out; what it shared before stays as it was. Why: The secret" in told.output


def test_a_squad_that_leaves_is_taken_out_for_good(federation: Path):
    left = [home for home in homes_of(federation) if home.root.name != FIRST]
    people = set(Lake(federation / "lake").read("shared_run").filter(squad=FIRST)["person"])
    report = running.run(left, federation, Never())
    assert report.gone == [FIRST]
    assert FIRST not in Lake(federation / "lake").read("shared_run")["squad"].to_list()
    said = everything_in(federation / "lake")
    assert people
    assert not [one for one in people if one.encode() in said]


def test_a_torn_squad_is_named_and_left_out_and_the_others_go_on(squads_once: Path, tmp_path: Path):
    federation = shutil.copytree(squads_once, tmp_path / "federation")

    def tear() -> None:
        path = home_of(federation, FIRST).federation / "export" / "rep.parquet"
        path.write_bytes(path.read_bytes()[:-100])

    report = running.run(homes_of(federation), federation, Meddling(before=tear))
    assert list(report.left_out) == [FIRST]
    assert "'rep' is cut off or damaged" in report.left_out[FIRST]
    assert FIRST not in report.current.squads
    assert len(report.derived) == SQUADS - 1
    again = running.run(homes_of(federation), federation, running.Here())  # what it says to do
    assert [one.squad for one in again.derived] == [FIRST]


def test_a_torn_share_is_left_out_and_what_stood_in_the_lake_stays(federation: Path):
    all_again(federation)
    before = Lake(federation / "lake").read("shared_run")

    def tear() -> None:
        (home_of(federation, FIRST).federation / "shared" / "shared_run.parquet").write_bytes(b"torn")

    report = running.run(homes_of(federation), federation, Meddling(after=tear))
    assert "is missing, cut off or damaged" in report.left_out[FIRST]
    assert Lake(federation / "lake").read("shared_run").equals(before)


def test_a_full_disk_in_a_task_is_said_of_its_squad(federation: Path):
    resource = pytest.importorskip("resource")
    all_again(federation)
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)

    def none_left() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (200, hard))

    def room_again() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))

    try:
        report = running.run(homes_of(federation), federation, Meddling(none_left, room_again))
    finally:
        room_again()
    assert report.left_out[FIRST].startswith("The disk is full: ")
    assert "Make room and run it again" in report.left_out[FIRST]


def test_two_homes_of_one_key_are_both_named_and_nothing_is_derived(federation: Path):
    other = home_of(federation, "elmstrand")
    (other.root / "federation.toml").write_text(f'squad = "{FIRST}"\n')
    with pytest.raises(ThirdstepError, match=r"Two homes are squad 'coldmere'.*coldmere.*elmstrand"):
        running.run(homes_of(federation), federation, Never())


def test_a_home_of_a_newer_version_is_named_and_left_out(federation: Path):
    with duckdb.connect(str(home_of(federation, FIRST).record)) as con:
        con.execute("update info set value = '999' where name = 'schema_version'")
    report = running.run(homes_of(federation), federation, Never())
    assert "was written by a newer thirdstep" in report.left_out[FIRST]
    assert FIRST in report.current.squads  # what it shared before stays


def test_an_export_of_another_version_says_which_column_differs(federation: Path):
    all_again(federation)

    def of_another_version() -> None:
        path = home_of(federation, FIRST).federation / "export" / LIST
        told = json.loads(path.read_bytes())
        told["columns"]["rep"].append("lane_no: Int64")
        path.write_text(json.dumps(told))

    report = running.run(homes_of(federation), federation, Meddling(before=of_another_version))
    assert "another version of thirdstep: table 'rep' differs (lane_no: Int64)" in report.left_out[FIRST]


def test_a_squad_of_one_athlete_is_derived_and_alone_makes_no_cell(tmp_path: Path):
    homes = demo.build(tmp_path, 1, athletes=1, weeks=4)
    report = running.run(homes, tmp_path, running.Here())
    assert [one.athletes for one in report.derived] == [1]
    assert all(not cells for cells in report.answers.values())
    assert report.cells == 0


@pytest.mark.parametrize(("share", "is_taken"), [(1e-11, True), (1e-5, False)])
def test_another_processors_last_digits_are_taken_and_more_is_refused(federation: Path, share: float, is_taken: bool):
    all_again(federation)
    before = Lake(federation / "lake").current()

    def other_digits() -> None:
        path = kept_path(home_of(federation, FIRST), "sprint_profile")
        frame = pl.read_parquet(path, hive_partitioning=False)
        frame.with_columns(pl.col("t_10_s") * (1 + share)).write_parquet(path)

    engine = Elsewhere(after=other_digits)
    if is_taken:
        assert running.run(homes_of(federation), federation, engine).compared == FIRST
    else:
        with pytest.raises(ThirdstepError, match=r"are not those of this machine: sprint_profile"):
            running.run(homes_of(federation), federation, engine)
        assert Lake(federation / "lake").current() == before


def test_a_lost_secret_is_said_and_no_new_pseudonyms_are_made(federation: Path):
    (home_of(federation, FIRST).root / SECRET).unlink()
    report = running.run(homes_of(federation), federation, Never())
    assert "The secret of squad 'coldmere' is missing or damaged" in report.left_out[FIRST]


def test_a_home_that_joined_nothing_says_how_to(tmp_path: Path):
    home = Home(tmp_path)
    with pytest.raises(ThirdstepError, match=r"belongs to no federation.*federation join KEY"):
        squads_of([home])
    with pytest.raises(ThirdstepError, match=r"'Café U20' cannot be a squad's key"):
        join(home, "Café U20")
    join(home, "cafe-u20")
    secret = secret_of(home)
    join(home, "cafe-u20")
    assert secret_of(home) == secret
    with pytest.raises(ThirdstepError, match=r"is squad 'cafe-u20' already"):
        join(home, "other")


def test_the_secret_is_for_its_owner_alone(tmp_path: Path):
    join(Home(tmp_path), "coldmere")
    if (tmp_path / SECRET).stat().st_mode & 0o077:
        pytest.fail("others can read the secret")


def test_a_frozen_squads_consent_is_asked_of_today(federation: Path):
    home = home_of(federation, FIRST)
    who = seed.people(1, ATHLETES)[0].athlete_id
    today = opening.now().date()
    assert today > LAST_DAY
    [given] = pl.read_csv(seed.squad_files(1, ATHLETES, 14)["consent.csv"]).filter(athlete_id=who)["given_on"]
    back = f"athlete_id,topic,given_on,withdrawn_on\n{who},sharing,{given},{today}\n".encode()
    load_files(home, [("consent.csv", back)], demo.COACH, derive_after=False)
    export(home)
    may = pl.read_parquet(home.federation / "export" / "may_share.parquet")
    assert who not in may["athlete_id"].to_list()


def test_what_a_task_says_comes_back_as_it_was_said():
    told = Told("coldmere", derived={"sprint_profile": (3, "ab")})
    assert Told(**json.loads(told.to_json())).squad == "coldmere"


def test_two_engines_are_held_against_each_other_cell_by_cell():
    one = {"norm": [{"people": 12, "value": 2.0}]}
    assert running.difference(one, {"norm": [{"people": 12, "value": 2.0 * (1 + 1e-13)}]}) < 1e-12
    assert running.difference(one, {"norm": [{"people": 11, "value": 2.0}]}) == float("inf")
    assert running.difference(one, {"norm": []}) == float("inf")
