"""What was seen of a run: its steps, the set position before it, and what was looked for."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import RecordTable, column
from schemas.records.keys import REP_KEY, REP_PARENTS, athlete_key, note, rep_no, session_date, session_no


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
