"""Which film a run was marked on, and how well it gives lengths and angles."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import RecordTable, column
from schemas.records.keys import REP_KEY, REP_PARENTS, athlete_key, rep_no, session_date, session_no


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
