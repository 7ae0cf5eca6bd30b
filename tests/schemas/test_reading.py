"""A reading is written to the log and obeyed again: nothing of it may be lost on the way."""

from schemas.reading import Block, Scale, Use, block_from_told, block_told


def test_a_scale_that_begins_at_nought_comes_back_from_the_log():
    block = Block("long", "session", (1,), 2, 9, (0, 1), (Use(0, "Effort", scale=Scale(0.0, 10.0, "low")),))
    assert block_from_told(block_told(block)).uses[0].scale == Scale(0.0, 10.0, "low")


def test_a_log_of_before_left_the_end_at_nought_out():
    block = Block("long", "session", (1,), 2, 9, (0, 1), (Use(0, "Effort", scale=Scale(0.0, 10.0, "low")),))
    told = block_told(block)
    del told["column"][0]["scale"]["least"]
    assert block_from_told(told) == block
