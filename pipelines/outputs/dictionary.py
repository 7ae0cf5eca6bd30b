"""What every table means, for people and for programs, and empty files to fill in."""

import json
from pathlib import Path

from pipelines.errors import ThirdstepError
from pipelines.home.trouble import plain_words
from pipelines.intake.templates import write_template
from schemas.derived.registry import derived_models
from schemas.dictionary import as_markdown, table_schema
from schemas.records import RECORDS


def dictionary(*, as_json: bool = False) -> str:
    """Return the data dictionary as Markdown, or as one JSON document of open Table Schema descriptors."""
    derived = derived_models()
    if as_json:
        told = {name: table_schema(name, model) for name, model in {**RECORDS, **derived}.items()}
        return json.dumps(told, ensure_ascii=False, indent=1, default=str)
    return as_markdown() + "\n" + as_markdown(derived, "Derived tables")


def template(table_name: str, target: Path, ending: str) -> Path:
    """Write an empty file for a table: into a folder under the table's name, or as the file named.

    Raises:
        ThirdstepError: There is no such table, a file is there already, or it may not be written.
    """
    if target.is_dir() or not target.suffix:
        target = target / f"{table_name}.{ending or 'csv'}"
    if target.exists():
        raise ThirdstepError(f"'{target}' is there already and was left as it is. Give another place with --out.")
    with plain_words(target):
        target.parent.mkdir(parents=True, exist_ok=True)
        return write_template(table_name, target)
