"""Training load by day and by week."""

import polars as pl

from schemas.base import DerivedTable, column


class LoadDay(DerivedTable):
    """Load of one athlete on one calendar day: effort (0-10) times minutes, summed over the day's sessions.

    There is a row for every day from the first one anybody logged to today (or to the athlete's last day with the
    squad), so that the days nobody knows about can be seen. A day is known when each of its sessions has minutes and
    effort (a session of 0 minutes needs no effort: it is a rest day), or when it has no session and is marked complete.
    An unknown day has no load: it is never read as rest.
    """

    athlete_id: str = column("Athlete.", source="definition", label="Athlete")
    day_on: pl.Date = column("Calendar day.", source="definition", label="Day")
    sessions: int = column(
        "Sessions logged; a rest entry of 0 minutes is not counted.", source="definition", ge=0, label="Sessions"
    )
    minutes: float = column(
        "Minutes trained; null when a session has none or the day is not known.",
        unit="min",
        source="definition",
        nullable=True,
        ge=0,
        label="Minutes",
    )
    load_au: float = column(
        "Sum of effort x minutes over the sessions; null unless the whole day is known.",
        unit="AU",
        source="foster_2001",
        nullable=True,
        ge=0,
        label="Load",
    )
    load_known_au: float = column(
        "The part of the load that is known ('at least'); null when no part is.",
        unit="AU",
        source="foster_2001",
        nullable=True,
        ge=0,
        label="Load, at least",
    )
    is_known: bool = column("Whether the whole day is known.", source="definition", label="Known")
    reason: str = column("Why the load is unknown.", source="definition", nullable=True, label="Reason")

    class Config(DerivedTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "day_on"], "title": "Load by day"}


class LoadWeek(DerivedTable):
    """Load of one athlete in one calendar week (Monday to Sunday), held against that athlete's own weeks.

    The week's load is known only when all seven days are. Change is against the week before; the percentile is the
    place of this week among the athlete's own earlier complete weeks; own range is where most of those weeks lay.
    Monotony (mean over SD of the seven days) and strain (load x monotony) are shown as facts, without bands: the
    cut-offs that circulate have no good source. The ratio to the three weeks before is a description, not a risk.
    """

    athlete_id: str = column("Athlete.", source="definition", label="Athlete")
    week_of: pl.Date = column("Monday of the week.", source="definition", label="Week of")
    load_au: float = column(
        "Sum of the seven days; null unless all seven are known.",
        unit="AU",
        source="foster_1998",
        nullable=True,
        ge=0,
        label="Load",
    )
    load_known_au: float = column(
        "Sum of what is known ('at least'); null when nothing is.",
        unit="AU",
        source="foster_1998",
        nullable=True,
        ge=0,
        label="Load, at least",
    )
    days_known: int = column("Days of the week that are known.", source="definition", ge=0, le=7, label="Days known")
    mean_au: float = column(
        "Mean of the seven days.", unit="AU", source="foster_1998", nullable=True, ge=0, label="Day mean"
    )
    sd_au: float = column(
        "Standard deviation of the seven days, with n - 1.",
        unit="AU",
        source="foster_1998",
        nullable=True,
        ge=0,
        label="Day SD",
    )
    monotony: float = column(
        "Mean over standard deviation (n - 1) of the seven days; null when all days are equal or one is unknown.",
        source="foster_1998",
        nullable=True,
        ge=0,
        label="Monotony",
    )
    strain_au: float = column(
        "Load x monotony; null when either is.", unit="AU", source="foster_1998", nullable=True, ge=0, label="Strain"
    )
    change_au: float = column(
        "This week minus the week before; null unless both are complete and the week before is above 0.",
        unit="AU",
        source="definition",
        nullable=True,
        label="Change",
    )
    change_percent: float = column(
        "The change as a share of the week before; null as change_au.",
        unit="%",
        source="definition",
        nullable=True,
        label="Change, %",
    )
    percentile: float = column(
        "Place among own earlier complete weeks of the last 52, injury weeks left out; ties count half.",
        unit="%",
        source="midrank_percentile",
        nullable=True,
        ge=0,
        le=100,
        label="Own percentile",
    )
    own_low_au: float = column(
        "Lower end of own usual range: a quantile (setting) of the same earlier weeks.",
        unit="AU",
        source="definition",
        nullable=True,
        ge=0,
        label="Own range from",
    )
    own_high_au: float = column(
        "Upper end of own usual range.", unit="AU", source="definition", nullable=True, ge=0, label="Own range to"
    )
    weeks_in_range: int = column(
        "Earlier complete weeks the percentile and the range rest on.", source="definition", ge=0, label="Weeks behind"
    )
    planned_au: float = column(
        "Planned minutes x planned effort, summed; null without a plan or where a planned session lacks either.",
        unit="AU",
        source="foster_2001",
        nullable=True,
        ge=0,
        label="Planned",
    )
    ratio_uncoupled: float = column(
        "Last week over the mean of the three before: a description, not a risk. Null until 28 days in a row are "
        "known.",
        source="windt_gabbett_2019",
        nullable=True,
        ge=0,
        label="Last week to the three before (a description, not a risk)",
    )
    injury_week: bool = column(
        "Whether an injury that stopped training overlaps the week.", source="definition", label="Injury week"
    )
    expected_au: float = column(
        "What was to be expected: the plan as the athlete usually carries it out, or without a plan own growth.",
        unit="AU",
        source="clean_squads",
        nullable=True,
        ge=0,
        label="Expected",
    )
    above_z: float = column(
        "How far the week, or the last two together, lies above what was to be expected, in own scatters.",
        source="clean_squads",
        nullable=True,
        label="Above expected",
    )
    reason: str = column(
        "Why the load, or the monotony, has no value; or that an injury's dates contradict each other.",
        source="definition",
        nullable=True,
        label="Reason",
    )

    class Config(DerivedTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "week_of"], "title": "Load by week"}
