"""When a newer file brings a waiting row again, that row waits no more."""

import json

from pipelines.record.merge import rows_seen_again

WAITING = [{"reject_no": 7, "source_sheet": "", "source_line": 17,
            "row_json": json.dumps({"name": "Ada Reed", "10m": "1.8O", "20m": "2.95", "note": ""})}]  # fmt: skip


def test_a_row_mended_in_its_place_is_the_same_row():
    # 2 of the 3 filled cells read as before
    assert rows_seen_again(WAITING, {("", 17): ["Ada Reed", "1.80", "2.95"]}) == [7]


def test_another_row_in_the_same_place_of_a_file_of_the_same_name_settles_nothing():
    # 1 of 3 cells reads as before
    assert rows_seen_again(WAITING, {("", 17): ["Ada Reed", "1.91", "3.10"]}) == []


def test_a_row_elsewhere_settles_nothing():
    assert rows_seen_again(WAITING, {("", 18): ["Ada Reed", "1.80", "2.95"]}) == []
    assert rows_seen_again(WAITING, {("sheet 2", 17): ["Ada Reed", "1.80", "2.95"]}) == []


def test_a_row_kept_without_its_text_settles_nothing():
    assert rows_seen_again([{**WAITING[0], "row_json": None}], {("", 17): ["Ada Reed"]}) == []
