"""Derived tables of the invented board: plausible numbers with the contract's columns, computed by no formula."""

import datetime as dt

import numpy as np
import polars as pl

from tests.dashboard.invented import TODAY, WEEK, athletes, call_of

KEY_SERIES = ("blocks", "first_movement", "electronic")


def _frame(rows: list[dict]) -> pl.DataFrame:
    return pl.DataFrame(rows, infer_schema_length=None)


def derived_tables(seed: int = 5) -> dict[str, pl.DataFrame]:
    """Return the derived tables of the invented squad."""
    rng = np.random.default_rng(seed)
    out: dict[str, list[dict]] = {}

    def add(table: str, **row: object) -> None:
        out.setdefault(table, []).append(row)

    for person in athletes().iter_rows(named=True):
        aid, case = person["athlete_id"], person["case"]
        _readiness(add, aid, case)
        _hamstring(add, aid, case)
        points, word, sentence = _start(add, aid, case, rng)
        loads = _load(add, aid, case, rng)
        _strength(add, aid, case, rng)
        _sheet(add, aid, case, points, word, sentence, loads)
    return {name: _frame(rows) for name, rows in out.items()}


def _readiness(add, aid: str, case: str) -> None:
    call = call_of(case)
    reasons = {
        "talk": ["left hamstring tight 6 of 10, third day; own usual 1"],
        "adapt": ["jump 6 % under own usual, 88 % real", "slept 5.5 h; own usual 7.8 h"],
        "spike": ["load +38 % on last week, above own range"],
        "silent": ["no check-in for 4 days"],
    }.get(case, [])
    add(
        "readiness_day",
        athlete_id=aid,
        day_on=TODAY,
        call=call,
        reason_count=len(reasons),
        strongest=reasons[0] if reasons else None,
        last_checkin_on=TODAY - dt.timedelta(days=4 if case == "silent" else 0),
        sentence="; ".join(reasons) or "Nothing unusual for this athlete.",
        reads_injury=False,
    )
    for rank, sentence in enumerate(reasons, 1):
        add(
            "readiness_reason",
            athlete_id=aid,
            day_on=TODAY,
            rank=rank,
            item=f"item_{rank}",
            pushes_to=call,
            sentence=sentence,
            value=6.0,
            usual=1.0,
            z=3.1,
            probability=0.88,
            evidence_table="checkin",
            evidence_on=TODAY,
            source="common_practice",
            since_on=TODAY - dt.timedelta(days=2),
            reads_injury=False,
        )


HAMSTRING_WORDS = {
    "talk": "watch: injury, fast running and tightness",
    "adapt": "watch: fast running",
    "spike": "watch: strength",
    "returning": "watch: injury",
    "silent": "cannot say",
}


def _hamstring(add, aid: str, case: str) -> None:
    speaks = {
        "talk": {
            "state": "tight on the left since Thursday, 6 of 10",
            "exposure": "fast metres doubled on own range",
            "history": "strain in 2025",
        },
        "adapt": {"exposure": "11 days since a run at 95 % or more"},
        "spike": {"capacity": "right 14 % under left, third test"},
        "returning": {"history": "week 6 since return"},
    }.get(case, {})
    level_words = HAMSTRING_WORDS.get(case, "nothing")
    level = "none" if not speaks else "one_family" if len(speaks) == 1 else "several_families"
    for family in ("history", "capacity", "exposure", "state", "start_pattern"):
        state = "speaks" if family in speaks else "quiet"
        if case == "silent" and family in ("state", "exposure"):
            state, level = "cannot_say", "cannot_say"
        add(
            "hamstring_flag",
            athlete_id=aid,
            day_on=TODAY,
            family=family,
            state=state,
            level=level,
            level_words=level_words,
            level_reads_injury="history" in speaks,
            families_speaking=len(speaks),
            sentence=speaks.get(family),
            evidence_table="checkin",
            evidence_on=TODAY,
            source="common_practice",
            strength="common_practice",
            since_on=TODAY - dt.timedelta(days=3),
            lapses_on=TODAY + dt.timedelta(days=11),
            reason="no_checkin" if state == "cannot_say" else None,
            reads_injury=family == "history",
        )


def _start(add, aid: str, case: str, rng) -> tuple[list[float], str, str]:
    base = 1.92 + float(rng.normal(0, 0.03))
    kind, clock, timing = KEY_SERIES
    slope = {"adapt": -0.0042, "improving": -0.003, "talk": 0.004}.get(case, 0.0)
    levels = []
    for week in range(12):
        level = base + slope * week + float(rng.normal(0, 0.002))
        levels.append(level)
        on = WEEK - dt.timedelta(weeks=11 - week)
        if case == "thin" and week < 9:
            continue
        add(
            "start_trend",
            athlete_id=aid,
            metric="t_10_s",
            start_kind=kind,
            clock_start=clock,
            timing_kind=timing,
            measured_by="gate",
            set_up="not_stated",
            session_date=on,
            reps=3,
            observed=level + float(rng.normal(0, 0.007)),
            observed_se=0.006,
            level=level,
            level_se=0.007,
            lower_95=level - 0.014,
            upper_95=level + 0.014,
        )
        for rep_no in (1, 2, 3):
            value = level + float(rng.normal(0, 0.008))
            add(
                "sprint_profile",
                athlete_id=aid,
                session_date=on,
                session_no=1,
                rep_no=rep_no,
                start_kind=kind,
                clock_start=clock,
                timing_kind=timing,
                resistance_kind="none",
                vmax_mps=9.1,
                vmax_mps_se=0.12,
                tau_s=1.15,
                tau_s_se=0.04,
                time_offset_s=-0.02,
                time_offset_s_se=0.01,
                a0_mps2=7.9,
                a0_mps2_se=0.2,
                f0_n_per_kg=8.2,
                f0_n_per_kg_se=0.3,
                v0_mps=9.5,
                v0_mps_se=0.15,
                pmax_w_per_kg=19.4,
                pmax_w_per_kg_se=0.6,
                rf_max=0.48,
                rf_max_se=0.01,
                drf_s_per_m=-0.072,
                drf_s_per_m_se=0.003,
                t_5_s=value - 0.72,
                t_5_s_se=0.006,
                t_10_s=value,
                t_10_s_se=0.006,
                t_10_timing_half_width_s=0.008,
                t_10_zero_half_width_s=0.01,
                t_20_s=value + 1.16,
                t_20_s_se=0.008,
                t_30_s=value + 2.26,
                t_30_s_se=0.01,
                v_5_mps=6.2,
                v_5_mps_se=0.1,
                v_10_mps=7.7,
                v_10_mps_se=0.1,
                rmse_s=0.008,
                splits_used=4,
                vmax_tau_correlation=0.9,
                time_zero="first_movement",
                trust="good",
                trust_reason=None,
            )
            if week >= 6:
                _steps(add, aid, case, on, rep_no, week, rng)
    kind, clock, timing = KEY_SERIES
    for step_no, low in ((1, 0.192), (2, 0.175), (3, 0.160)):
        series = {"athlete_id": aid, "start_kind": kind, "clock_start": clock, "timing_kind": timing}
        add("start_best_contact", **series, step_no=step_no, starts=5, low_s=low, high_s=low + 0.006)
    word = {
        "adapt": "improving",
        "improving": "improving",
        "talk": "slipping",
        "thin": "not_clear",
        "returning": "improving",
    }.get(case, "holding")
    sentence = {
        "improving": "30 ms faster at 10 m, ± 18; worthwhile, 93 % sure",
        "slipping": "30 ms slower at 10 m, ± 18; worthwhile, 81 % sure",
        "not_clear": "5 reps in 6 weeks",
        "holding": "+1 ms at 10 m, ± 18",
    }[word]
    for metric, main, unit, better in (
        ("t_10_s", True, "s", "lower"),
        ("contact_1_s", False, "s", "lower"),
        ("speed_after_3_mps", False, "m/s", "higher"),
    ):
        add(
            "start_progress",
            athlete_id=aid,
            metric=metric,
            start_kind=kind,
            clock_start=clock,
            timing_kind=timing,
            measured_by="gate",
            set_up="not_stated",
            is_main=main,
            last_on=WEEK,
            reps=36,
            sessions=12,
            reference_on=WEEK - dt.timedelta(weeks=6),
            level_now=levels[-1],
            level_then=levels[5],
            change=levels[-1] - levels[5],
            change_se=0.009,
            change_low=levels[-1] - levels[5] - 0.018,
            change_high=levels[-1] - levels[5] + 0.018,
            detectable=0.033,
            plan_sentence="To see 20 ms at 10 m: 2 days a week of 3 runs a day, through twenty weeks",
            swc=0.008,
            mdc=0.021,
            typical_error=0.0076,
            p_better=0.93 if word == "improving" else 0.3,
            p_worse=0.81 if word == "slipping" else 0.02,
            word=word,
            sentence=sentence,
            better_is=better,
            unit=unit,
            reason="too_few_reps" if word == "not_clear" else None,
        )
    focus = {
        "talk": ("no maximal runs until seen", "Easy running and a talk first."),
        "adapt": ("heavy sled, 3 then 6 steps", "Heavy sled starts over 3, then 6 steps."),
        "spike": ("isolated eccentric, twice a week", "Isolated eccentric hamstring, 3 sets, twice a week."),
        "thin": ("longer first two pushes", "Two sets of three starts, longer first two pushes."),
        "silent": ("ask for check-in", "No work can be proposed before a check-in."),
        "improving": ("set position a little lower", "Lower the set position a little."),
    }.get(case, ("keep", "Keep the work of last week."))
    add(
        "start_focus",
        athlete_id=aid,
        week_of=WEEK,
        rank=1,
        limit="push_cut_short",
        headline=focus[0],
        work=focus[1],
        why="First contact 14 ms shorter than own five best starts, speed after three steps unchanged.",
        strength="common_practice",
        source="common_practice",
        caution="Build heavy sled work up over weeks, supervised.",
        would_show="Contact 1 back within 5 ms of own best with more speed after step 3.",
    )
    call = call_of(case)
    stands = {"talk_first": "talk", "no_call": "ask", "adapt": "adapt"}.get(call, "go_on")
    add(
        "advice",
        athlete_id=aid,
        week_of=WEEK,
        day_on=TODAY,
        stands=stands,
        adaptation="less_intensity" if stands == "adapt" else None,
        headline=focus[0],
        sentence=f"Advice: {focus[1]}",
        own_headline={"talk": "Talk first, before you run", "ask": "Check in first"}.get(stands, "Train as planned"),
        own_sentence="Train as your plan says." if stands == "go_on" else "Ask your coach before you start.",
        waits=None,
        caution=None,
        is_minor=False,
        reads_injury=False,
    )
    if stands in ("go_on", "adapt"):
        add(
            "advised_work",
            athlete_id=aid,
            week_of=WEEK,
            rank=1,
            limit="push_cut_short",
            headline=focus[0],
            when=None,
            work=focus[1],
            why="contacts 1 to 3 shorter than in own best starts, speed after three steps lower",
            strength="common_practice",
            source="common_practice",
            caution="Build up over weeks; stop for back, groin or Achilles pain.",
            caution_short="Build up over weeks.",
            would_show="speed after three steps up by more than its error in two weeks",
        )
    add(
        "start_pattern",
        athlete_id=aid,
        session_date=WEEK,
        session_no=1,
        rep_no=1,
        pattern="push_cut_short" if case == "adapt" else "even_growing_rhythm",
        strength="slight",
        sentence="The first contact ends early and speed after three steps does not gain."
        if case == "adapt"
        else "Contacts shorten evenly and frequency grows.",
        evidence="contact 1 181 ms, own best 196 ms",
        evidence_table="start_steps",
        basis="common_practice",
        what_it_is_not="Not a fault by itself; one session only.",
    )
    return levels[-6:], word, sentence


def _steps(add, aid: str, case: str, on: dt.date, rep_no: int, week: int, rng) -> None:
    distance, contacts = 0.0, []
    base = {"athlete_id": aid, "session_date": on, "session_no": 1, "rep_no": rep_no}
    for step_no in range(1, 13):
        contact = 0.112 + 0.084 * float(np.exp(-(step_no - 1) / 4)) + float(rng.normal(0, 0.003))
        if case == "adapt" and week == 11 and step_no == 1:
            contact -= 0.014
        contacts.append(contact)
        flight = 0.045 + 0.0068 * min(step_no, 9) + float(rng.normal(0, 0.002))
        length = 0.95 + 0.1 * step_no
        distance += length
        step_time = contact + flight
        add(
            "start_steps",
            **base,
            step_no=step_no,
            side="lr"[step_no % 2],
            contact_s=contact,
            contact_s_se=0.0025,
            contact_low_s=contact - 0.0049,
            contact_high_s=contact + 0.0049,
            flight_s=flight,
            flight_s_se=0.0025,
            step_time_s=step_time,
            step_time_s_se=0.003,
            step_frequency_hz=1 / step_time,
            step_frequency_hz_se=0.06,
            step_frequency_low_hz=1 / step_time - 0.12,
            step_frequency_high_hz=1 / step_time + 0.12,
            step_length_m=length,
            distance_m=distance,
            speed_mps=(length + 0.1) / step_time,
            speed_mps_se=0.12,
            contact_share=contact / step_time,
            speed_gain_mps=0.6,
            impulse_ns_per_kg=0.6,
            frame_rate_hz=240.0,
        )
    kind, clock, timing = KEY_SERIES
    add(
        "start_phase",
        **base,
        start_kind=kind,
        clock_start=clock,
        timing_kind=timing,
        resistance_kind="none",
        frame_rate_hz=240.0,
        contact_1_s=contacts[0],
        contact_2_s=contacts[1],
        contact_3_s=contacts[2],
        contact_sum_s=sum(contacts[:3]),
        flight_sum_s=0.18,
        three_step_distance_m=3.45,
        speed_after_3_mps=5.6,
        order_of_contacts="falling",
        step_frequency_10m_hz=4.3,
        best_frequency_hz=4.7,
        rhythm_10m=0.91,
        angle_hold_deg=2.0,
        knee_toeoff_deg=168.0,
        reason=None,
    )


def _load(add, aid: str, case: str, rng) -> list[float | None]:
    loads: list[float | None] = []
    for week in range(12):
        monday = WEEK - dt.timedelta(weeks=11 - week)
        load = 1900 + float(rng.normal(0, 90))
        if week == 11 and case in ("spike", "talk"):
            load *= 1.38
        known = not (case == "silent" and week == 11)
        loads.append(load if known else None)
        add(
            "load_week",
            athlete_id=aid,
            week_of=monday,
            load_au=load if known else None,
            load_known_au=load * 0.6,
            days_known=7 if known else 3,
            mean_au=load / 7,
            sd_au=190.0,
            monotony=1.4,
            strain_au=2700.0,
            change_au=20.0,
            change_percent=38.0 if week == 11 and case == "spike" else 1.0,
            percentile=0.5,
            own_low_au=1780.0,
            own_high_au=2050.0,
            weeks_in_range=20,
            planned_au=1900.0,
            ratio_uncoupled=1.0,
            injury_week=False,
            reason=None if known else "day_unknown",
        )
        add(
            "speed_exposure",
            athlete_id=aid,
            week_of=monday,
            timing_kind="electronic",
            best_speed_mps=9.3,
            efforts_90=6,
            efforts_95=3,
            metres_90=160.0,
            metres_95=60.0 + 50 * (week == 11 and case == "talk"),
            unclassified_efforts=0,
            fastest_share=0.97,
            last_90_on=monday,
            last_95_on=monday,
            gap_90_days=6,
            gap_95_days=11 if case == "adapt" else 6,
            usual_metres_95_low=40.0,
            usual_metres_95_high=85.0,
            reason=None,
        )
        for day in range(7):
            add(
                "load_day",
                athlete_id=aid,
                day_on=monday + dt.timedelta(days=day),
                sessions=1,
                minutes=70.0,
                load_au=load / 7,
                load_known_au=load / 7,
                is_known=True,
                reason=None,
            )
    return loads[-6:]


def _strength(add, aid: str, case: str, rng) -> None:
    common = {"reps": 3, "load_kg": 130.0, "tonnage_kg": 1800.0, "p_drop": 0.1, "reason": None}
    for weeks_back in (18, 12, 6, 0):
        on = WEEK - dt.timedelta(weeks=weeks_back)
        one_rm = 140.0 - weeks_back * 0.8 + float(rng.normal(0, 1.5))
        add(
            "strength_state",
            athlete_id=aid,
            measured_on=on,
            item="back squat",
            side="both",
            kind="lift",
            family="squat",
            e1rm_kg=one_rm,
            relative_kg_per_kg=one_rm / 78,
            allometric_kg=7.4,
            peak_force_n=None,
            force_n_per_kg=None,
            difference_percent=None,
            difference_noise_percent=None,
            persistent_side=None,
            change_vs_best_percent=0.0,
            sentence=None,
            **common,
        )
        for side, force in (("l", 330.0), ("r", 284.0 if case == "spike" else 326.0)):
            add(
                "strength_state",
                athlete_id=aid,
                measured_on=on,
                item="eccentric_hamstring",
                side=side,
                kind="force",
                family="hamstring_eccentric",
                e1rm_kg=None,
                relative_kg_per_kg=None,
                allometric_kg=None,
                peak_force_n=force,
                force_n_per_kg=force / 78,
                difference_percent=None,
                difference_noise_percent=None,
                persistent_side=None,
                change_vs_best_percent=-2.0,
                sentence=None,
                **(common | {"load_kg": None, "tonnage_kg": None}),
            )
        add(
            "strength_state",
            athlete_id=aid,
            measured_on=on,
            item="eccentric_hamstring",
            side="both",
            kind="force",
            family="hamstring_eccentric",
            e1rm_kg=None,
            relative_kg_per_kg=None,
            allometric_kg=None,
            peak_force_n=None,
            force_n_per_kg=None,
            difference_percent=-14.0 if case == "spike" else -1.2,
            difference_noise_percent=6.0,
            persistent_side="l" if case == "spike" else None,
            change_vs_best_percent=-2.0,
            sentence="Right 14 % under left on three tests, more than test noise." if case == "spike" else None,
            **(common | {"load_kg": None, "tonnage_kg": None}),
        )
        add(
            "spring_state",
            athlete_id=aid,
            tested_on=on,
            test="countermovement",
            trials=3,
            jump_height_m=0.42 - 0.025 * (case == "adapt" and weeks_back == 0),
            jump_height_m_se=0.006,
            reactive_strength_mps=None,
            flight_contact_ratio=None,
            hop_stiffness_n_per_m=None,
            stiffness_n_per_m_per_kg=None,
            usual_height_m=0.42,
            change_percent=-6.0 if case == "adapt" and weeks_back == 0 else 0.4,
            p_drop=0.88 if case == "adapt" and weeks_back == 0 else 0.1,
            reason=None,
        )


def _sheet(add, aid: str, case: str, points: list[float], word: str, sentence: str, loads: list[float | None]) -> None:
    call = call_of(case)
    hamstring = {
        "talk": ("several_families", "state, exposure, history"),
        "adapt": ("one_family", "exposure: 11 days since ≥ 95 %"),
        "spike": ("one_family", "capacity: right 14 % under left, third test"),
        "returning": ("one_family", "history: week 6 since return"),
        "silent": ("cannot_say", None),
    }.get(case, ("none", None))
    training = {
        "talk": "left hamstring tight 6 of 10, third day; own usual 1",
        "adapt": "jump 6 % under own usual, 88 % real",
        "spike": "load +38 % on last week, above own range",
        "silent": "no check-in for 4 days",
    }.get(case)
    changed = {
        "adapt": "start now faster beyond noise, after two weeks of heavy sled.",
        "talk": "tightness on the left since Thursday; fast metres doubled.",
        "spike": "third test with the right side weaker.",
    }.get(case)
    focus = {
        "talk": "no maximal runs until seen",
        "adapt": "heavy sled, 3 then 6 steps",
        "spike": "isolated eccentric, twice a week",
        "thin": "longer first two pushes",
        "silent": "ask for check-in",
        "improving": "set position a little lower",
    }.get(case, "keep")
    middle = float(np.mean(points))
    for back in (1, 0):
        add(
            "week_sheet",
            athlete_id=aid,
            week_of=WEEK - dt.timedelta(weeks=back),
            day_on=TODAY - dt.timedelta(weeks=back),
            training_call=call if back == 0 else "as_planned",
            training_reason=training if back == 0 else None,
            training_more=1 if case == "adapt" and back == 0 else 0,
            hamstring_level=hamstring[0] if back == 0 else "none",
            hamstring_words=HAMSTRING_WORDS.get(case, "nothing") if back == 0 else "nothing",
            hamstring_reason=hamstring[1] if back == 0 else None,
            progress_word=word if back == 0 else None,
            progress_sentence=sentence if back == 0 else None,
            progress_metric="t_10_s",
            trend_points=[None, None, None, *points[3:]] if case == "thin" else points,
            trend_low=[middle - 0.012] * 6,
            trend_high=[middle + 0.012] * 6,
            load_points=loads,
            load_low=1780.0,
            load_high=2050.0,
            load_above=case in ("spike", "talk"),
            focus_headline=focus,
            focus_caution="Build up over weeks." if case in ("adapt", "spike") else None,
            work_reads_injury=False,
            checkin_gap_days=4 if case == "silent" else 0,
            checkin_missing=case == "silent",
            loudness={"talk": 90, "adapt": 60, "spike": 58, "silent": 40, "returning": 30}.get(case, 0),
            changed=changed if back == 0 else None,
            caution=None,
            training_reads_injury=False,
            hamstring_reads_injury=case in ("returning", "talk") and back == 0,
        )
