"""The patterns of a start: signs measured against the athlete's own best runs, and what the coach noted."""

import polars as pl

from pipelines.derived.common.number_text import decimals
from pipelines.derived.common.step_error import REP_KEY, Z_BEYOND_ERROR, Z_CLEAR
from pipelines.derived.start.own_best import compare_with_own_best
from schemas.phrase import phrase

EARLY_SHARE = 0.95  # early frequency over own best that is called high, common practice (about 0.9 after step 3)
BEST_SEEN_EARLY = "best_frequency_seen_early"

# What each pattern is, and what must not be read into it. All of it common practice.
WORDS: dict[str, tuple[str, str]] = {
    "push_cut_short": (
        "Push cut short: in the first contacts the foot leaves the ground before the push is through.",
        "Not proof that a longer contact would be faster: it is a reason to look at the push.",
    ),
    "pushes_too_long": (
        "Pushes too long: the leg stays behind and locks instead of coming through.",
        "Not a sign of strength or weakness by itself, and no finding about the hamstring.",
    ),
    "shin_drops": (
        "The front shin drops before the push: the set position is too high for this athlete.",
        "Not a fault while the athlete's fastest starts do the same.",
    ),
    "shin_rises": (
        "The front shin rises before the push: the set position is too low for this athlete.",
        "Not a fault while the athlete's fastest starts do the same.",
    ),
    "ankle_gives": (
        "The ankle gives when the foot takes the load.",
        "Not an injury finding and no measure of calf strength.",
    ),
    "reaches_ahead": (
        "Reaches ahead: the foot lands in front of the knee's line instead of under the push.",
        "Not a prediction of injury; some reach is normal from about the fourth step on.",
    ),
    "head_or_arms_apart": (
        "Head or arms move apart from the body.",
        "Not a cause by itself; often it follows from a push that is off.",
    ),
    "even_growing_rhythm": (
        "Even, growing rhythm: contacts shorten and steps lengthen one after the other.",
        "Not the same as fast: an even start can still lack push.",
    ),
}


def _decimals(frame: pl.DataFrame, name: str, digits: int, signed: bool = False) -> pl.Series:
    return decimals(frame[name], digits, signed=signed)


def _noted(notes: pl.DataFrame, items: tuple[str, ...]) -> pl.DataFrame:
    """Per run: how many of the items were noted as seen, and on how many runs of that session (``noted_runs``)."""
    day = ["athlete_id", "session_date", "session_no"]
    return (
        notes.filter(pl.col("item").is_in(items) & pl.col("seen"))
        .group_by(REP_KEY, maintain_order=True)
        .agg(noted=pl.len().cast(pl.Int64), noted_as=pl.col("item").sort().str.replace_all("_", " ").str.join(", "))
        .with_columns(noted_runs=pl.len().over(day))
    )


def _rows(frame: pl.DataFrame, pattern: str, table: str) -> pl.DataFrame:
    sentence, is_not = WORDS[pattern]
    return frame.select(
        *REP_KEY,
        pattern=pl.lit(pattern),
        strength=pl.col("strength"),
        sentence=pl.lit(sentence),
        evidence=pl.col("evidence"),
        evidence_table=pl.when(pl.col("by_note")).then(pl.lit("technique_note")).otherwise(pl.lit(table)),
        basis=pl.lit("common_practice"),
        what_it_is_not=pl.lit(is_not),
    )


def _joined(parts: list[pl.Expr]) -> pl.Expr:
    return pl.concat_str(parts, separator="; ", ignore_nulls=True)


def _note_part() -> pl.Expr:
    return pl.when(pl.col("noted") > 0).then(phrase("noted: {}", pl.col("noted_as")))


def _cut_short(runs: pl.DataFrame) -> pl.DataFrame:
    """Contacts short, early frequency high, speed low against own best; or the first contact not the longest."""
    z_contact, z_hz, z_speed = (pl.col(f"z_{n}") for n in ("contact_sum_s", "early_frequency_hz", "speed_after_3_mps"))
    against_best = (z_contact <= -Z_BEYOND_ERROR) & (z_hz >= Z_BEYOND_ERROR) & (z_speed <= -Z_BEYOND_ERROR)
    hurried = (
        (pl.col("order_of_contacts") == "not_longest_first")
        & (z_speed.fill_null(0.0) < Z_BEYOND_ERROR)
        & ((pl.col("early_share") >= EARLY_SHARE) | pl.col("early_share").is_null() | _best_is_doubtful())
        & pl.col("_free")
    )
    found = runs.with_columns(
        _best=against_best.fill_null(False), _hurried=hurried.fill_null(False), by_note=pl.lit(False)
    ).filter(pl.col("_best") | pl.col("_hurried"))
    found = found.with_columns(
        strength=pl.when(pl.col("_best") & (z_contact <= -Z_CLEAR) & (z_speed <= -Z_CLEAR))
        .then(pl.lit("clear"))
        .otherwise(pl.lit("slight")),
        _own=_decimals(found, "contact_sum_s", 3),
        _ref=_decimals(found, "best_contact_sum_s", 3),
        _own_v=_decimals(found, "speed_after_3_mps", 2),
        _ref_v=_decimals(found, "best_speed_after_3_mps", 2),
        _own_f=_decimals(found, "early_frequency_hz", 2),
        _ref_f=_decimals(found, "best_early_frequency_hz", 2),
        _c1=_decimals(found, "contact_1_s", 3),
        _c2=_decimals(found, "contact_2_s", 3),
        _c3=_decimals(found, "contact_3_s", 3),
    )
    return found.with_columns(
        evidence=_joined(
            [
                pl.when(pl.col("_best")).then(
                    phrase(
                        "contacts 1-3 {} s against {} s in the own {} best, {} Hz against {} Hz, {} m/s after three "
                        "steps against {} m/s",
                        "_own",
                        "_ref",
                        "best_runs",
                        "_own_f",
                        "_ref_f",
                        "_own_v",
                        "_ref_v",
                    )
                ),
                pl.when(pl.col("_hurried")).then(
                    phrase("first contact is not the longest: {}, {}, {} s", "_c1", "_c2", "_c3")
                ),
            ]
        )
    )


def _best_is_doubtful() -> pl.Expr:
    return pl.col("rhythm_reason").fill_null("") == BEST_SEEN_EARLY


def _too_long(runs: pl.DataFrame) -> pl.DataFrame:
    """Contacts or knee beyond error and own spread, at no more than the own usual speed; or noted."""
    no_gain = pl.col("speed_after_3_mps") <= pl.col("usual_speed_mps")
    long = ((pl.col("odd_contact_sum_s") >= Z_BEYOND_ERROR) & no_gain).fill_null(False)
    locked = ((pl.col("odd_knee_toeoff_deg") >= Z_BEYOND_ERROR) & no_gain).fill_null(False)
    found = runs.with_columns(_long=long, _locked=locked, _notes=pl.col("noted").fill_null(0)).filter(
        pl.col("_long") | pl.col("_locked") | (pl.col("_notes") > 0)
    )
    signs = pl.col("_long").cast(pl.Int64) + pl.col("_locked").cast(pl.Int64) + pl.col("_notes")
    found = found.with_columns(
        by_note=~pl.col("_long") & ~pl.col("_locked"),
        strength=pl.when(signs >= 2).then(pl.lit("clear")).otherwise(pl.lit("slight")),
        _own=_decimals(found, "contact_sum_s", 3),
        _ref=_decimals(found, "best_contact_sum_s", 3),
        _own_v=_decimals(found, "speed_after_3_mps", 2),
        _ref_v=_decimals(found, "best_speed_after_3_mps", 2),
        _own_k=_decimals(found, "knee_toeoff_deg", 0),
        _ref_k=_decimals(found, "best_knee_toeoff_deg", 0),
    )
    return found.with_columns(
        evidence=_joined(
            [
                pl.when(pl.col("_long")).then(
                    phrase(
                        "contacts 1-3 {} s against {} s in the own {} best, with no more speed ({} against {} m/s)",
                        "_own",
                        "_ref",
                        "best_runs",
                        "_own_v",
                        "_ref_v",
                    )
                ),
                pl.when(pl.col("_locked")).then(
                    phrase("knee at toe-off {} degrees against {} in the own best", "_own_k", "_ref_k")
                ),
                _note_part(),
            ]
        )
    )


def _shin(runs: pl.DataFrame, direction: int) -> pl.DataFrame:
    """Front shin moves before the push (down: -1, up: +1) beyond the error of two readings, or noted."""
    z = direction * pl.col("z_hold")
    moved = (z >= Z_BEYOND_ERROR).fill_null(False)
    own_best_too = (
        (direction * pl.col("best_angle_hold_deg") > 0) & (direction * pl.col("z_angle_hold_deg") < Z_BEYOND_ERROR)
    ).fill_null(False)
    found = runs.with_columns(_moved=moved, _usual=own_best_too, _notes=pl.col("noted").fill_null(0)).filter(
        pl.col("_moved") | (pl.col("_notes") > 0)
    )
    sure = (z >= Z_CLEAR) | (pl.col("_moved") & (pl.col("_notes") > 0))
    found = found.with_columns(
        by_note=~pl.col("_moved"),
        strength=pl.when(sure.fill_null(False) & ~pl.col("_usual")).then(pl.lit("clear")).otherwise(pl.lit("slight")),
        _change=_decimals(found, "angle_hold_deg", 1, signed=True),
        _set=_decimals(found, "front_shin_set_deg", 1),
        _push=_decimals(found, "front_shin_push_deg", 1),
        _error=_decimals(found, "angle_hold_deg_se", 1),
    )
    return found.with_columns(
        evidence=_joined(
            [
                pl.when(pl.col("_moved")).then(
                    phrase(
                        "front shin {} degrees in set, {} at the push: {} (error {})",
                        "_set",
                        "_push",
                        "_change",
                        "_error",
                    )
                ),
                pl.when(pl.col("_moved") & pl.col("_usual")).then(pl.lit("the own best starts do the same")),
                _note_part(),
            ]
        )
    )


def _reaches(runs: pl.DataFrame) -> pl.DataFrame:
    """Shin at touchdown further back than in the own best, beyond error and own spread; or noted."""
    back = (pl.col("odd_shin_touchdown_deg") >= Z_BEYOND_ERROR).fill_null(False)
    found = runs.with_columns(_back=back, _notes=pl.col("noted").fill_null(0)).filter(
        pl.col("_back") | (pl.col("_notes") > 0)
    )
    twice = (pl.col("_notes") > 0) & (pl.col("_back") | (pl.col("noted_runs").fill_null(0) >= 2))
    found = found.with_columns(
        by_note=~pl.col("_back"),
        strength=pl.when(twice).then(pl.lit("clear")).otherwise(pl.lit("slight")),
        _own=_decimals(found, "shin_touchdown_deg", 0),
        _ref=_decimals(found, "best_shin_touchdown_deg", 0),
    )
    return found.with_columns(
        evidence=_joined(
            [
                pl.when(pl.col("_back")).then(
                    phrase("shin at touchdown of steps 1-3 {} degrees against {} in the own best", "_own", "_ref")
                ),
                _note_part(),
            ]
        )
    )


def _by_note(runs: pl.DataFrame, two_items_agree: bool) -> pl.DataFrame:
    """Patterns that only an eye can see: clear when two items agree or two runs of the session show it."""
    found = runs.filter(pl.col("noted").fill_null(0) > 0)
    twice = pl.col("noted_runs") >= 2
    if two_items_agree:
        twice = twice | (pl.col("noted") >= 2)
    return found.with_columns(
        by_note=pl.lit(True),
        strength=pl.when(twice).then(pl.lit("clear")).otherwise(pl.lit("slight")),
        evidence=_note_part(),
    )


def _even(runs: pl.DataFrame) -> pl.DataFrame:
    """Contacts longest first then falling, steps 2 to 6 none shorter and together longer beyond error; or noted."""
    gate = Z_BEYOND_ERROR * 2**0.5 * pl.col("_length_se")
    even = (
        pl.col("_free")
        & (pl.col("order_of_contacts") == "longest_first_then_falling")
        & (pl.col("_lengths") >= 4)
        & (pl.col("_least") >= -gate)
        & (pl.col("_growth") > gate)
    ).fill_null(False)
    found = runs.with_columns(_even=even, _notes=pl.col("noted").fill_null(0)).filter(
        pl.col("_even") | (pl.col("_notes") > 0)
    )
    both = pl.col("_even") & (pl.col("_notes") > 0)
    found = found.with_columns(
        by_note=~pl.col("_even"),
        strength=pl.when(both).then(pl.lit("clear")).otherwise(pl.lit("slight")),
        _c1=_decimals(found, "contact_1_s", 3),
        _c3=_decimals(found, "contact_3_s", 3),
        _more=_decimals(found, "_growth", 2, signed=True),
    )
    return found.with_columns(
        evidence=_joined(
            [
                pl.when(pl.col("_even")).then(
                    phrase(
                        "contacts fall from {} s to {} s by the third; steps 2 to 6 grow by {} m", "_c1", "_c3", "_more"
                    )
                ),
                _note_part(),
            ]
        )
    )


def find_patterns(
    phase: pl.DataFrame, steps: pl.DataFrame, notes: pl.DataFrame, set_position: pl.DataFrame, rep: pl.DataFrame
) -> pl.DataFrame:
    """Return one row per run and pattern found; see ``start_pattern`` for the rules."""
    runs = compare_with_own_best(phase, steps, set_position, rep)

    def with_notes(*items: str) -> pl.DataFrame:
        return runs.join(_noted(notes, items), on=REP_KEY, how="left", maintain_order="left")

    found = [
        _rows(_cut_short(runs), "push_cut_short", "start_steps"),
        _rows(_too_long(with_notes("knee_locks_at_toeoff", "leg_lifts_behind")), "pushes_too_long", "start_steps"),
        _rows(_shin(with_notes("shin_drops_before_push"), -1), "shin_drops", "set_position"),
        _rows(_shin(with_notes("shin_rises_before_push"), +1), "shin_rises", "set_position"),
        _rows(_by_note(with_notes("ankle_gives"), False), "ankle_gives", "technique_note"),
        _rows(_reaches(with_notes("reaches_ahead")), "reaches_ahead", "step"),
        _rows(
            _by_note(with_notes("head_moves_alone", "arms_out_of_time"), True), "head_or_arms_apart", "technique_note"
        ),
        _rows(_even(with_notes("even_growing_rhythm")), "even_growing_rhythm", "start_steps"),
    ]
    return pl.concat(found).sort([*REP_KEY, "pattern"])
