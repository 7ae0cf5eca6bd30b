"""Folders of strangers, each loaded into a home of its own: as it is, and with the answers its key gives."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pipelines import flow
from pipelines.home.folder import Home as HomeFolder
from schemas.intake import SQUAD, LayoutOptions

ODD = Path(__file__).parent / "odd"
KEYS = [json.loads((ODD / name).read_text(encoding="utf-8")) for name in ("key.json", "key_books.json")]
KEY: dict[str, dict[str, Any]] = {one["case"]: one for key in KEYS for one in key}
BOOKS = [one["case"] for one in KEYS[1]]  # the larger ones
TODAY = "2026-11-30"  # of every coach of a key
NICKNAMES: dict[str, dict[str, str]] = {  # what the key's coach says of names that are not plain
    "nicknames_with_roster": {"Bex": "rebecca-allardyce", "Spud": "callum-netherby", "Mo": "mohamed-tarrant"},
    "two_same_first_names": {"Lena": "lena-brandau"},
}


def people_of(key: Mapping[str, Any]) -> list[str]:
    """Return the names of the athletes of a folder."""
    return sorted({fact["athlete"] for fact in key["facts"] if fact.get("athlete") not in (None, "squad")})


def answers_of(key: Mapping[str, Any]) -> LayoutOptions:
    """Return what the coach of a folder answers: who is who, the year, the scales nothing says."""
    scales = {}
    for fact in key["facts"]:
        scale = fact.get("scale")
        if fact.get("sure") == "question" and isinstance(scale, dict) and fact.get("header"):
            good = scale["to"] if (scale.get("good") or "high") == "high" else scale["from"]
            scales[fact["header"]] = f"{scale['from']} to {scale['to']}, {good} is good"
    days = {  # of weights and heights on a roster: the coach says when they were taken
        f"{fact['file']} › {fact['sheet']}" if fact.get("sheet") else fact["file"]: TODAY
        for fact in key["facts"] if fact["what"] in ("body_mass", "height") and fact.get("day") is None
    }  # fmt: skip
    units = {fact["header"]: fact["said_unit"] for fact in key["facts"] if fact.get("said_unit")}
    return LayoutOptions(year="last", scales=scales, days=days, units=units, who="everybody",
                         layouts={SQUAD: {"athletes": _names(key)}})  # fmt: skip


def _names(key: Mapping[str, Any]) -> dict[str, str]:
    return {**dict.fromkeys(people_of(key), "new"), **NICKNAMES.get(str(key["case"]), {})}


def load(home: HomeFolder, case: str, *, answered: bool) -> list[flow.Outcome]:
    """Load a folder; names of new people are answered either way, as an empty home knows nobody."""
    key = KEY[case]
    options = answers_of(key) if answered else LayoutOptions(layouts={SQUAD: {"athletes": _names(key)}})
    return flow.load(home, [ODD / key["folder"]], by="coach", options=options, derive_after=False)
