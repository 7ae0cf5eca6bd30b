"""Settings typed by hand, a day far away, how often one athlete writes, and how the machine does."""

import datetime as dt
import os

import pytest

from dashboard.access.meter import Meter
from dashboard.screens.data import words
from pipelines.errors import ThirdstepError
from pipelines.home import machine
from pipelines.home.settings import FURTHEST_DAYS, read_settings
from schemas.settings import SETTINGS, SquadSettings

TYPED = [
    "nan", "inf", "-inf", "1e400", "true", "'x'", "[]", "{}", "2026-11-17T10:00:00", "07:32:00", "-1", "0x10",
    "99999999999999999999999999", '"a\\u0000b"', f'"{"x" * 5000}"', '"""a\nb"""',
]  # fmt: skip


@pytest.mark.parametrize("name", SETTINGS)
def test_whatever_is_typed_for_a_setting_is_taken_or_refused_in_a_sentence_that_names_it(tmp_path, name):
    said = []
    for typed in TYPED:
        file = tmp_path / "settings.toml"
        file.write_text(f"{name} = {typed}\n", encoding="utf-8")
        try:
            read_settings(file)
        except ThirdstepError as wrong:
            said.append(wrong.message)
    assert len(said) >= 8
    assert all(any(part in one for part in (name, "may not lie above", "cannot be read")) for one in said)
    assert max(map(len, said)) < 500


@pytest.mark.parametrize(
    ("off", "fits"), [(0, True), (FURTHEST_DAYS, True), (FURTHEST_DAYS + 1, False), (25_000, False)]
)
def test_a_day_to_look_from_that_is_far_away_is_refused(tmp_path, off, fits):
    day = dt.date.today() + dt.timedelta(days=off)
    file = tmp_path / "settings.toml"
    file.write_text(f"as_of = {day}\n", encoding="utf-8")
    if fits:
        assert read_settings(file).as_of == day
    else:
        with pytest.raises(ThirdstepError, match=r"'as_of' is .* may lie between"):
            read_settings(file)
        (tmp_path / "DEMO.txt").touch()
        assert read_settings(file).as_of == day  # the demo is frozen on a day of its own
    file.write_text("as_of = 1926-11-17\n", encoding="utf-8")
    if fits:
        with pytest.raises(ThirdstepError, match="'as_of'"):
            read_settings(file)


def test_one_person_does_so_much_in_a_while_and_others_are_not_kept_from_it():
    meter = Meter(3, 60)
    times = (0, 1, 2, 3, 59, 60, 61, 61)
    wanted = [True, True, True, False, False, True, True, False]
    assert [meter.takes("marit", at) for at in times] == wanted
    assert meter.takes("teo", 3)


def test_the_machine_is_told_with_the_age_of_the_figures(tmp_path):
    state = machine.state_of(tmp_path)
    assert 0 < state.disk_free_bytes <= state.disk_bytes
    if state.memory_bytes:
        assert 1e6 < state.memory_bytes <= state.memory_peak_bytes
    built, now = dt.datetime(2026, 11, 22, 8, 0), dt.datetime(2026, 11, 22, 8, 41)
    said = words.machine(built, now, machine.Machine(5_000_000_000, 9_000_000_000, 400_000_000, 500_000_000))
    assert said == (
        "Figures made 22 Nov 2026, 08:00, 41 minutes ago. Room on the disk: 5.0 of 9.0 GB. "
        "Memory of the dashboard: 400 MB, 500 MB at most. Whether the disk of the home folder is encrypted cannot be "
        "asked here: look in the system’s own settings."
    )
    assert words.machine(None, now, machine.Machine(5_000_000_000, 9_000_000_000, None, None)).startswith("Room on")
    assert [machine.Machine(free, 9, None, None).has_little_room for free in (1 << 29, 1 << 31)] == [True, False]


def test_settings_changed_by_hand_are_in_force_at_the_next_look(tmp_path):
    file = tmp_path / "settings.toml"
    for days in (56, 57, 58, 57):  # of the same length, within one step of a clock
        file.write_text(f"review_days = {days}\n", encoding="utf-8")
        assert read_settings(file).review_days == days
    an_hour_ago = file.stat().st_mtime - 3600
    os.utime(file, (an_hour_ago, an_hour_ago))
    assert read_settings(file).review_days == read_settings(file).review_days == 57
    file.write_text("review_days = 60\n", encoding="utf-8")
    assert read_settings(file).review_days == 60
    file.unlink()
    assert read_settings(file) == SquadSettings()
