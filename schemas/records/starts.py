"""Runs: their splits, their steps, the set position before them and what was seen."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import RecordTable, column
from schemas.records.keys import athlete_key, note, rep_no, session_date, session_no

REP_KEY = ["athlete_id", "session_date", "session_no", "rep_no"]
REP_PARENTS = ["rep", "session", "athlete"]


class Rep(RecordTable):
    """One row per run."""

    athlete_id: str = athlete_key()
    session_date: pl.Date = session_date()
    session_no: int = session_no()
    rep_no: int = rep_no()
    distance_m: float = column(
        "Distance of the run.",
        unit="m",
        source="timing",
        ge=2,
        le=400,
        nullable=True,
        example="30",
        label="Distance",
    )
    start_kind: str = column(
        "How the run began.",
        source="timing",
        isin=words.START_KINDS,
        nullable=True,
        example="blocks",
        label="Start",
    )
    clock_start: str = column(
        "What started the clock. Times of two kinds are never compared.",
        source="timing",
        isin=words.CLOCK_STARTS,
        nullable=True,
        example="gun",
        label="Clock",
    )
    gate_offset_m: float = column(
        "How far behind the first gate the athlete stands.",
        unit="m",
        source="tape",
        ge=0,
        le=3,
        nullable=True,
        example="0.5",
        label="Behind the gate",
    )
    reaction_s: float = column(
        "Gun to first force.",
        unit="s",
        source="timing",
        ge=0,
        le=1,
        nullable=True,
        example="0.152",
        label="Reaction",
    )
    timing_kind: str = column(
        "How the times were taken. Hand times get no model.",
        source="timing",
        isin=words.TIMING_KINDS,
        nullable=True,
        example="electronic",
        label="Timing",
    )
    wind_ms: float = column(
        "Wind along the straight, tailwind positive.",
        unit="m/s",
        source="wind_gauge",
        ge=-10,
        le=10,
        nullable=True,
        example="-0.4",
        label="Wind",
    )
    resistance_kind: str = column(
        "What the run was resisted by; empty counts as not said, not as none.",
        source="timing",
        isin=words.RESISTANCE_KINDS,
        nullable=True,
        example="none",
        label="Resistance",
    )
    resistance_load_kg: float = column(
        "Mass pulled, sled included.",
        unit="kg",
        source="scale",
        ge=0,
        le=300,
        nullable=True,
        example="68",
        label="Load",
    )
    effort_percent: float = column(
        "Effort asked for.",
        unit="%",
        source="coach",
        ge=30,
        le=100,
        nullable=True,
        example="100",
        label="Effort",
    )
    outcome: str = column(
        "How it ended.",
        source="timing",
        isin=words.REP_OUTCOMES,
        nullable=True,
        example="completed",
        label="Outcome",
    )

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": REP_KEY, "parents": ["session", "athlete"], "title": "Runs"}


class Split(RecordTable):
    """One row per gate crossing. Times rise strictly with distance inside a run."""

    athlete_id: str = athlete_key()
    session_date: pl.Date = session_date()
    session_no: int = session_no()
    rep_no: int = rep_no()
    distance_m: float = column(
        "Gate distance from the start line (from the first gate where that starts the clock).",
        unit="m",
        source="gate_setup",
        gt=0,
        le=400,
        example="10",
        label="Gate",
    )
    elapsed_s: float = column(
        "Time since the clock started.",
        unit="s",
        source="timing",
        gt=0,
        le=120,
        example="1.92",
        label="Time",
    )

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": [*REP_KEY, "distance_m"], "parents": REP_PARENTS, "title": "Split times"}


class Step(RecordTable):
    """One row per step marked off video. A step is a ground contact and the flight that follows it."""

    athlete_id: str = athlete_key()
    session_date: pl.Date = session_date()
    session_no: int = session_no()
    rep_no: int = rep_no()
    step_no: int = column(
        "Which step of the run; 1 is the first contact after the start.",
        source="video",
        ge=1,
        le=80,
        example="1",
        label="Step",
    )
    side: str = column(
        "Foot on the ground.", source="video", isin=words.SIDES, nullable=True, example="l", label="Side"
    )
    contact_s: float = column(
        "Touchdown to toe-off of this step.",
        unit="s",
        source="video",
        ge=0.05,
        le=0.40,
        nullable=True,
        example="0.188",
        label="Contact",
    )
    flight_s: float = column(
        "Toe-off of this step to the next touchdown.",
        unit="s",
        source="video",
        ge=0,
        le=0.35,
        nullable=True,
        example="0.054",
        label="Flight",
    )
    step_length_m: float = column(
        "Toe to toe from the previous touchdown (from the start line for step 1) to this touchdown.",
        unit="m",
        source="video",
        ge=0.2,
        le=3.2,
        nullable=True,
        example="1.08",
        label="Length",
    )
    shin_touchdown_deg: float = column(
        "Shin at touchdown, from the forward horizontal: 90 is upright, less has the knee ahead of the ankle.",
        unit="deg",
        source="video",
        ge=0,
        le=180,
        nullable=True,
        example="52",
        label="Shin, touchdown",
    )
    shin_toeoff_deg: float = column(
        "Shin at toe-off, measured the same way.",
        unit="deg",
        source="video",
        ge=0,
        le=180,
        nullable=True,
        example="34",
        label="Shin, toe-off",
    )
    knee_toeoff_deg: float = column(
        "Knee angle of the pushing leg at toe-off; 180 is straight.",
        unit="deg",
        source="video",
        ge=60,
        le=200,
        nullable=True,
        example="164",
        label="Knee, toe-off",
    )
    trunk_touchdown_deg: float = column(
        "Trunk at touchdown, hip to shoulder, from the forward horizontal.",
        unit="deg",
        source="video",
        ge=0,
        le=180,
        nullable=True,
        example="38",
        label="Trunk, touchdown",
    )
    touchdown_distance_m: float = column(
        "How far ahead of the hip the tip of the shoe lands, along the lane; below 0 it lands behind.",
        unit="m",
        source="video",
        ge=-1.5,
        le=1.5,
        nullable=True,
        example="-0.12",
        label="Ahead of the hip",
    )
    step_length_m_se: float = column(
        "Standard error of the length, from the clicks and the lane marks of this film.",
        unit="m",
        source="video",
        ge=0,
        le=1,
        nullable=True,
        example="0.014",
        label="±",
    )
    touchdown_distance_m_se: float = column(
        "Standard error of how far ahead of the hip the foot lands.",
        unit="m",
        source="video",
        ge=0,
        le=1,
        nullable=True,
        example="0.014",
        label="±",
    )
    shin_deg_se: float = column(
        "Standard error of the shin angles of this step (the larger of the two).",
        unit="deg",
        source="video",
        ge=0,
        le=30,
        nullable=True,
        example="1.7",
        label="±",
    )
    trunk_deg_se: float = column(
        "Standard error of the trunk angle.",
        unit="deg",
        source="video",
        ge=0,
        le=30,
        nullable=True,
        example="1.7",
        label="±",
    )
    knee_deg_se: float = column(
        "Standard error of the knee angle.",
        unit="deg",
        source="video",
        ge=0,
        le=30,
        nullable=True,
        example="1.7",
        label="±",
    )
    frame_rate_hz: float = column(
        "Frames a second of the video; it sets the error of every step time.",
        unit="Hz",
        source="video",
        ge=24,
        le=2000,
        nullable=True,
        example="240",
        label="Frame rate",
    )

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": [*REP_KEY, "step_no"], "parents": REP_PARENTS, "title": "Steps"}


class SetPosition(RecordTable):
    """One row per run: the set position before it."""

    athlete_id: str = athlete_key()
    session_date: pl.Date = session_date()
    session_no: int = session_no()
    rep_no: int = rep_no()
    front_shin_set_deg: float = column(
        "Front shin in set, from the forward horizontal.",
        unit="deg",
        source="video",
        ge=0,
        le=120,
        nullable=True,
        example="42",
        label="Front shin, set",
    )
    front_shin_push_deg: float = column(
        "The same shin when the push begins.",
        unit="deg",
        source="video",
        ge=0,
        le=120,
        nullable=True,
        example="38",
        label="Front shin, push",
    )
    front_shin_deg_se: float = column(
        "Standard error of the front shin's angles (the larger of the two).",
        unit="deg",
        source="video",
        ge=0,
        le=30,
        nullable=True,
        example="1.7",
        label="±",
    )
    front_foot_m: float = column(
        "Front foot behind the line.",
        unit="m",
        source="tape",
        ge=0,
        le=1.5,
        nullable=True,
        example="0.52",
        label="Front foot",
    )
    rear_foot_m: float = column(
        "Rear foot behind the line.",
        unit="m",
        source="tape",
        ge=0,
        le=2,
        nullable=True,
        example="0.80",
        label="Rear foot",
    )
    front_weight_percent: float = column(
        "Share of body weight on the front foot.",
        unit="%",
        source="coach",
        ge=0,
        le=100,
        nullable=True,
        example="60",
        label="Weight in front",
    )

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": REP_KEY, "parents": REP_PARENTS, "title": "Set positions"}


class Film(RecordTable):
    """One row per filmed run: which film, how fast it was taken, how well lane marks fit. The film is not kept."""

    athlete_id: str = athlete_key()
    session_date: pl.Date = session_date()
    session_no: int = session_no()
    rep_no: int = rep_no()
    film_name: str = column(
        "Name of the film as it lies on the device it was marked on.",
        source="video",
        nullable=True,
        example="IMG_0412.MOV",
        label="Film",
    )
    film_print: str = column(
        "Fingerprint of the film, so that it is known again: SHA-256 over the SHA-256 of its pieces of 8 MiB.",
        source="video",
        matches=r"[0-9a-f]{64}",
        nullable=True,
        example="9f2c4d5e6a7b8c9d0e1f2a3b4c5d6e7f8091a2b3c4d5e6f708192a3b4c5d6e7f",
        label="Fingerprint",
    )
    film_frames: int = column(
        "Frames of the film.", source="video", ge=1, le=500_000, nullable=True, example="1440", label="Frames"
    )
    capture_rate_hz: float = column(
        "Frames a second at which it was really taken.",
        unit="Hz",
        source="video",
        ge=24,
        le=2000,
        nullable=True,
        example="240",
        label="Taken at",
    )
    container_rate_hz: float = column(
        "Frames a second at which it is played: lower where slow motion is written into it.",
        unit="Hz",
        source="video",
        ge=0,
        le=2000,
        nullable=True,
        example="30",
        label="Played at",
    )
    rate_known_by: str = column(
        "How the rate is known: written by the camera, confirmed, or asked.",
        source="video",
        isin=words.RATE_KNOWN_BY,
        nullable=True,
        example="confirmed",
        label="Known by",
    )
    lane_marks: int = column(
        "Marks clicked on the two lane lines; lengths and angles rest on them.",
        source="video",
        ge=0,
        le=24,
        nullable=True,
        example="6",
        label="Lane marks",
    )
    lane_misfit_px: float = column(
        "What is left between the lane marks and the phone found from them, root mean square.",
        unit="px",
        source="video",
        ge=0,
        nullable=True,
        example="1.1",
        label="Misfit",
    )
    phone_height_m: float = column(
        "How high the phone stood, from the lane marks.",
        unit="m",
        source="video",
        ge=0,
        le=30,
        nullable=True,
        example="1.1",
        label="Phone, high",
    )
    phone_away_m: float = column(
        "How far the phone stood from the middle of the lane, from the lane marks.",
        unit="m",
        source="video",
        ge=0,
        le=100,
        nullable=True,
        example="7.0",
        label="Phone, away",
    )
    lengths_reason: str = column(
        "Why the film gives no lengths; empty where it does.",
        source="video",
        isin=words.FILM_REASONS,
        nullable=True,
        example="no_lane_marks",
        label="No lengths",
    )
    angles_reason: str = column(
        "Why the film gives no angles; empty where it does.",
        source="video",
        isin=words.FILM_REASONS,
        nullable=True,
        example="no_lane_marks",
        label="No angles",
    )
    marked_by: str = column("Who marked it.", source="coach", nullable=True, example="coach", label="Marked by")
    marked_at: pl.Datetime = column(
        "When it was marked.", source="clock", nullable=True, example="2026-11-16T18:30:00", label="Marked"
    )

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": REP_KEY, "parents": REP_PARENTS, "title": "Films"}


class TechniqueNote(RecordTable):
    """One row per run and thing looked for: seen or not seen."""

    athlete_id: str = athlete_key()
    session_date: pl.Date = session_date()
    session_no: int = session_no()
    rep_no: int = rep_no()
    item: str = column(
        "What was looked for.", source="coach", isin=words.TECHNIQUE_ITEMS, example="ankle_gives", label="Item"
    )
    seen: bool = column(
        "Yes if it was seen, no if it was looked for and not seen.", source="coach", example="yes", label="Seen"
    )
    note: str = note()

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": [*REP_KEY, "item"], "parents": REP_PARENTS, "title": "Technique notes"}


class RaceResult(RecordTable):
    """One row per race."""

    athlete_id: str = athlete_key()
    raced_on: pl.Date = column("Day of the race.", source="results", example="2026-06-20", label="Date")
    event: str = column(
        "Event: the distance in metres, 'h' added for hurdles.",
        source="results",
        matches=r"[1-9][0-9]{1,3}h?",
        example="100",
        label="Event",
    )
    round: str = column("Round.", source="results", matches=r"[a-z0-9_ ]{1,20}", example="final", label="Round")
    time_s: float = column(
        "Official time; empty where there is none.",
        unit="s",
        source="results",
        ge=4,
        le=200,
        nullable=True,
        example="11.42",
        label="Time",
    )
    wind_ms: float = column(
        "Wind reading.", unit="m/s", source="results", ge=-10, le=10, nullable=True, example="0.8", label="Wind"
    )
    timing_kind: str = column(
        "How the time was taken.",
        source="results",
        isin=words.TIMING_KINDS,
        nullable=True,
        example="electronic",
        label="Timing",
    )
    reaction_s: float = column(
        "Reaction time.", unit="s", source="results", ge=0, le=1, nullable=True, example="0.151", label="Reaction"
    )
    place: int = column("Place.", source="results", ge=1, le=200, nullable=True, example="2", label="Place")
    altitude_m: float = column(
        "Altitude of the track.",
        unit="m",
        source="results",
        ge=-430,
        le=5000,
        nullable=True,
        example="40",
        label="Altitude",
    )
    race_outcome: str = column(
        "How the race ended for the athlete; empty where only the time tells.",
        source="results",
        isin=words.RACE_OUTCOMES,
        nullable=True,
        example="finished",
        label="Outcome",
    )
    note: str = note()

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "raced_on", "event", "round"], "parents": ["athlete"], "title": "Races"}
