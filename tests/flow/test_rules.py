"""A rule is changed by somebody, for a reason, within its range; every change is kept and can be looked back from."""

import datetime as dt
import json

import pytest

from pipelines import flow
from pipelines.errors import ThirdstepError
from pipelines.home.rules import BY_HAND
from schemas.settings import NUMBERS, SquadSettings, version_of
from tests.flow.squad import load_squad


def change(home, name, value, why="too many talks about nothing"):
    flow.change_rule(home, name, value, "Head coach", why, derive_after=False)


def test_a_change_is_in_force_and_kept_with_who_when_and_why(home):
    before = dt.datetime.now().replace(microsecond=0)
    change(home, "pain_talk_level", 4)
    assert flow.settings(home).pain_talk_level == 4.0
    [row] = flow.rule_history(home).rows(named=True)
    assert (row["change_no"], row["name"], row["before"], row["after"]) == (1, "pain_talk_level", 3.0, 4.0)
    assert (row["by"], row["why"]) == ("Head coach", "too many talks about nothing")
    assert before <= row["at"] <= dt.datetime.now()


def test_changes_are_only_ever_added(home):
    change(home, "pain_talk_level", 4)
    first = (home.sources / "rules" / "00000001.json").read_bytes()
    change(home, "pain_talk_level", 3, "one was missed")
    assert (home.sources / "rules" / "00000001.json").read_bytes() == first
    assert flow.rule_history(home)["after"].to_list() == [4.0, 3.0]
    assert flow.settings(home) == SquadSettings()


def test_the_other_settings_and_their_kinds_stay(home):
    flow.write_settings(home.settings, SquadSettings(squad_name="Ayr", as_of=dt.date(2026, 11, 22)))
    change(home, "tight_running_days", 4)
    assert flow.settings(home) == SquadSettings(
        squad_name="Ayr", as_of=dt.date(2026, 11, 22), tight_running_days=4
    )  # fmt: skip


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("pain_talk_level", 11, "may be 1 to 10 of 10, not 11. Nothing was changed."),
        ("unusual_z", 0, "may be 1 to 4, not 0"),
        ("unusual_z", float("nan"), "'nan' is not a number"),
        ("checkin_stale_days", 1.5, "is counted in whole days, not 1.5."),
        ("unusual_z", 2, "is 2 already. Nothing was changed."),
        ("pain_level", 4, "There is no rule setting 'pain_level'. They are: review_days,"),
        ("squad_name", 4, "There is no rule setting 'squad_name'."),
        # by hand: 30 days for the note lie above the 28 from which it speaks
        ("eccentric_note_days", 30, "(30) may not lie above days without isolated eccentric work: it speaks (28)"),
        ("baseline_least_days", 43, "(43) may not lie above days that make an athlete's own usual (42)"),
    ],
)
def test_a_wrong_change_is_refused_in_a_sentence_and_nothing_is_kept(home, name, value, sentence):
    with pytest.raises(ThirdstepError) as trouble:
        change(home, name, value)
    assert sentence in trouble.value.message
    assert flow.rule_history(home).is_empty()
    assert flow.settings(home) == SquadSettings()


@pytest.mark.parametrize(("by", "why"), [("", "for a reason"), ("Head coach", "  x ")])
def test_who_and_why_are_asked_for(home, by, why):
    with pytest.raises(ThirdstepError):
        flow.change_rule(home, "unusual_z", 2.5, by, why, derive_after=False)
    assert flow.rule_history(home).is_empty()


def test_a_value_typed_into_the_file_is_shown_as_nobodys(home):
    change(home, "unusual_z", 2.5)
    text = home.settings.read_text(encoding="utf-8")
    home.settings.write_text(text.replace("unusual_z = 2.5", "unusual_z = 3.0"), encoding="utf-8")
    last = flow.rule_history(home).row(-1, named=True)
    assert (last["name"], last["before"], last["after"], last["by"]) == ("unusual_z", 2.5, 3.0, None)
    assert last["why"] == BY_HAND


def test_a_version_is_named_by_its_numbers_alone(home):
    change(home, "pain_talk_level", 4)
    change(home, "exposure_gap_days", 14)
    change(home, "exposure_gap_days", 10, "back again")
    versions = flow.rule_history(home)
    first = version_of(SquadSettings(), "hamstring")
    # pain bears on readiness only, the gap on the hamstring flag only
    assert [v == first for v in versions["hamstring_version"]] == [True, False, True]
    assert versions["readiness_version"].n_unique() == 1
    assert versions["readiness_version"][0] != version_of(SquadSettings(), "readiness")


def test_every_number_came_within_its_own_range_and_in_order():
    """Values are checked when they are read from a file, not where they are declared."""
    assert SquadSettings().changed({}) == SquadSettings()
    assert all(one.words and one.range_text for one in NUMBERS)


def test_a_setting_of_an_earlier_version_is_passed_over_and_its_change_stays_told(home):
    change(home, "unusual_z", 2.5)
    home.settings.write_text(
        home.settings.read_text(encoding="utf-8") + "\nhinge_outgrown_kg = 200.0\n", encoding="utf-8"
    )
    told = {"name": "hinge_outgrown_kg", "before": 185.0, "after": 200.0, "by": "Head coach",
            "at": "2026-01-01T10:00:00", "why": "strong squad"}  # fmt: skip
    (home.sources / "rules" / "00000002.json").write_text(json.dumps(told), encoding="utf-8")
    assert flow.settings(home).unusual_z == 2.5
    assert flow.rule_history(home)["name"].to_list() == ["unusual_z", "hinge_outgrown_kg"]


def test_a_damaged_change_is_named(home):
    change(home, "unusual_z", 2.5)
    (home.sources / "rules" / "00000001.json").write_text("{", encoding="utf-8")
    with pytest.raises(ThirdstepError, match="Change 1 of the rules"):
        flow.rule_history(home)


@pytest.mark.usefixtures("small_derived")
class TestKept:
    """With a record and a board."""

    def test_the_board_is_derived_anew_after_a_change(self, home, tmp_path):
        load_squad(home)
        flow.change_rule(home, "unusual_z", 2.5, "Head coach", "fewer notes a day")
        assert not flow.is_stale(home)
        from pipelines.board import publish

        told = publish.read_board(publish.current_board(home), "setting")
        assert told.filter(name="unusual_z")["number"].item() == 2.5

    def test_a_backup_brings_the_changes_back_and_a_rebuild_leaves_them(self, home, tmp_path):
        load_squad(home)
        change(home, "unusual_z", 2.5)
        kept = flow.rule_history(home)
        assert flow.rebuild(home) == []
        assert flow.rule_history(home).equals(kept)
        flow.backup(home, tmp_path / "kept.zip")
        again = flow.find_home(tmp_path / "again")
        flow.restore(again, tmp_path / "kept.zip")
        assert flow.rule_history(again).equals(kept)
        assert flow.settings(again).unusual_z == 2.5
        assert json.loads((again.sources / "rules" / "00000001.json").read_text(encoding="utf-8"))["after"] == 2.5

    def test_what_was_entered_when_stands_on_the_board(self, home, tmp_path):
        load_squad(home)
        from pipelines.board import publish

        entered = publish.read_board(publish.current_board(home), "entry_day")
        # two sessions and one run with its splits, all of 3 November
        assert entered.select("table_name", "athlete_id").rows() == [
            ("rep", "ada-reed"), ("session", "ada-reed"), ("session", "bo-lind"), ("split", "ada-reed"),
        ]  # fmt: skip
        assert entered["entered_on"].unique().to_list() == [dt.datetime.now().date()]


def test_an_earlier_version_can_be_looked_back_under(own_demo_home):
    home = own_demo_home
    change(home, "exposure_gap_days", 30, "holidays are no danger")
    as_came, after = flow.flags_under_rule(home, 0), flow.flags_under_rule(home, 1)
    flag = [frame.filter(rule="flag_in_force").row(0, named=True) for frame in (as_came, after)]
    assert flag[0]["rule_version"] != flag[1]["rule_version"]
    # a longer gap can only speak less often
    assert flag[0]["hits"] + flag[0]["false_flags"] > flag[1]["hits"] + flag[1]["false_flags"]
    with pytest.raises(ThirdstepError, match="There is no change 2"):
        flow.flags_under_rule(home, 2)
