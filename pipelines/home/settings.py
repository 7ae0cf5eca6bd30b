"""The squad's settings as a file that a coach can read and edit: settings.toml."""

import dataclasses
import datetime as dt
import difflib
import inspect
import re
import tomllib
from pathlib import Path
from typing import Any, get_args, get_type_hints

import polars as pl
import tomli_w

from pipelines.errors import ThirdstepError
from pipelines.home.durable import write_durably
from schemas.settings import DROPPED_SETTINGS, SquadSettings


def read_settings(path: Path) -> SquadSettings:
    """Return the settings in force: those of the file, the defaults where it is silent or absent.

    Raises:
        ThirdstepError: The file is not TOML, names no known setting, or a value is of the wrong kind.
    """
    if not path.exists():
        return SquadSettings()
    try:
        found = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as trouble:
        raise ThirdstepError(f"{path.name} cannot be read: {trouble}. Mend the line, or delete the file.") from trouble
    return SquadSettings(
        **{name: _checked(path, name, value) for name, value in found.items() if name not in DROPPED_SETTINGS}
    )


def _checked(path: Path, name: str, value: Any) -> Any:
    kinds = get_type_hints(SquadSettings)
    if name not in kinds:
        near = difflib.get_close_matches(name, kinds, n=1)
        hint = f" Did you mean '{near[0]}'?" if near else ""
        raise ThirdstepError(f"{path.name}: there is no setting '{name}'.{hint}")
    kind = next(k for k in (get_args(kinds[name]) or (kinds[name],)) if k is not type(None))
    if kind is float and isinstance(value, int) and not isinstance(value, bool):
        return float(value)
    if type(value) is not kind:
        wanted = {int: "a whole number", float: "a number", str: "a text in quotes", dt.date: "a date (2026-11-17)"}
        raise ThirdstepError(f"{path.name}: '{name}' should be {wanted.get(kind, kind.__name__)}, not {value!r}.")
    return value


def write_settings(path: Path, settings: SquadSettings) -> None:
    """Write every setting with its comment; a setting without a value stands as a comment."""
    lines = ["# Settings of this squad. Change a number and run 'thirdstep derive'.", ""]
    comments = setting_comments()
    for name, value in dataclasses.asdict(settings).items():
        if comments[name]:
            lines.append(f"# {comments[name]}")
        lines.append(tomli_w.dumps({name: value}).strip() if value is not None else f"# {name} =")
        lines.append("")
    write_durably(path, "\n".join(lines).encode("utf-8"))


def setting_comments() -> dict[str, str]:
    """Return what each setting means: the comment beside it in ``schemas.settings``."""
    source = inspect.getsource(SquadSettings)
    found = dict(re.findall(r"^    (\w+):[^\n#]*#\s*(.+)$", source, flags=re.MULTILINE))
    return {field.name: found.get(field.name, "") for field in dataclasses.fields(SquadSettings)}


def setting_rows(settings: SquadSettings) -> pl.DataFrame:
    """Return the settings in force as a table of the board: name, value as text, comment."""
    comments = setting_comments()
    return pl.DataFrame(
        [
            {"name": name, "value": None if value is None else str(value), "comment": comments[name]}
            for name, value in dataclasses.asdict(settings).items()
        ],
        schema={"name": pl.String, "value": pl.String, "comment": pl.String},
    )
