"""Kinds of evidence that were never entered for anybody, so that the sheet cannot look at them."""

from schemas.base import DerivedTable, column

# Kind -> what a coach calls it. In the order in which it is told.
KINDS: dict[str, str] = {
    "checkin": "check-ins",
    "injury": "injuries",
    "tightness": "hamstring tightness",
    "force_test": "hamstring strength tests",
    "timed_run": "runs timed by gate or film",
    "load": "a whole week of load",
    "plan": "a plan",
}
TRAINING_KINDS: dict[str, str] = {"checkin": "check-ins", "injury": "the injury list", "load": "week loads"}


class NeverEntered(DerivedTable):
    """One row per kind of evidence of which the record holds nothing at all, for nobody.

    Nothing on record is no sign of health: where no injury was ever entered, nobody was asked. The sheet names these
    kinds first, so that a quiet page is not read as all clear. No row where something of the kind is there.
    """

    kind: str = column("What was never entered.", source="definition", isin=tuple(KINDS), label="Never entered")
    place: int = column("Place in the order in which they are told.", source="definition", ge=0, label="Place")
    words: str = column("What a coach calls it.", source="definition", label="In words")

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {"key": ["kind"], "title": "Never entered"}
