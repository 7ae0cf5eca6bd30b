"""Every column of the record is described, its unit agrees with its name, and the written dictionary is current."""

from pathlib import Path

import polars as pl
import pytest
from openpyxl import load_workbook

from pipelines.errors import ThirdstepError
from pipelines.intake.templates import write_template
from pipelines.outputs.dictionary import dictionary
from schemas.base import table_key, table_parents
from schemas.caveats import all_caveats
from schemas.derived.registry import derived_models
from schemas.dictionary import column_docs, table_schema
from schemas.knowledge import all_sources
from schemas.records import RECORDS
from schemas.units import unit_of_name

DICTIONARY = Path(__file__).parents[2] / "schemas" / "DICTIONARY.md"


def test_every_column_says_what_it_means_and_where_it_comes_from():
    docs = column_docs()
    empty = docs.filter((pl.col("description") == "") | (pl.col("source") == ""))
    assert empty.is_empty()


def test_a_column_ends_in_its_unit():
    docs = column_docs().with_columns(by_name=pl.col("column_name").map_elements(unit_of_name, return_dtype=pl.String))
    wrong = docs.filter(pl.col("unit") != pl.col("by_name"))
    assert wrong.select("table_name", "column_name", "unit", "by_name").rows() == []


def test_a_key_is_of_own_columns_and_never_unknown():
    for name, model in RECORDS.items():
        columns = model.to_schema().columns
        assert table_key(model), name
        assert [key for key in table_key(model) if columns[key].nullable] == [], name


def test_a_parent_comes_before_its_children_and_its_key_is_in_theirs():
    order = list(RECORDS)
    for name, model in RECORDS.items():
        for parent in table_parents(model):
            assert order.index(parent) < order.index(name)
            assert set(table_key(RECORDS[parent])) <= set(table_key(model)), name


def test_the_written_dictionary_is_current():
    # mend with: thirdstep dictionary > schemas/DICTIONARY.md
    assert DICTIONARY.read_text(encoding="utf-8").rstrip("\n") == dictionary(as_json=False).rstrip("\n")


def test_a_descriptor_is_valid_table_schema():
    # Field types and constraint words of the open Table Schema standard, v1: from memory.
    types = {"string", "integer", "number", "boolean", "date", "datetime"}
    allowed = {"required", "minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum", "enum", "pattern"}
    for name, model in RECORDS.items():
        descriptor = table_schema(name, model)
        assert {field["type"] for field in descriptor["fields"]} <= types
        assert {word for field in descriptor["fields"] for word in field["constraints"]} <= allowed
        assert set(descriptor["primaryKey"]) <= {field["name"] for field in descriptor["fields"]}


@pytest.mark.parametrize("name", RECORDS)
def test_a_template_holds_the_table_s_own_headers(name: str, tmp_path: Path):
    columns = list(RECORDS[name].to_schema().columns)
    text = write_template(name, tmp_path / f"{name}.csv").read_text(encoding="utf-8")
    assert text.splitlines() == [",".join(columns)]
    book = load_workbook(write_template(name, tmp_path / f"{name}.xlsx"))
    assert [cell.value for cell in book[name][1]] == columns
    assert [row[0].value for row in book["explanation"].iter_rows(min_row=2)] == columns


def test_a_template_of_no_table_says_which_tables_there_are(tmp_path: Path):
    with pytest.raises(ThirdstepError, match=r"There is no table .splitz.\. The tables are: athlete, "):
        write_template("splitz", tmp_path / "splitz.csv")


# A power of a unit, or a product of two, has no suffix of its own.
UNITS_WITHOUT_SUFFIX = {"kg/kg^0.67", "kg m"}


def test_a_derived_column_that_ends_in_a_unit_has_that_unit():
    docs = column_docs(derived_models()).with_columns(
        by_name=pl.col("column_name").map_elements(unit_of_name, return_dtype=pl.String)
    )
    wrong = docs.filter(
        (pl.col("by_name") != "") & (pl.col("unit") != pl.col("by_name")) & ~pl.col("unit").is_in(UNITS_WITHOUT_SUFFIX)
    )
    assert wrong.select("table_name", "column_name", "unit", "by_name").rows() == []


def test_every_derived_column_names_a_source_that_is_kept():
    record_sources = set(column_docs()["source"])
    kept = set(all_sources()) | record_sources  # a key keeps the source its record table says
    named = column_docs(derived_models()).select("table_name", "column_name", pl.col("source").str.split(","))
    unknown = named.explode("source").filter(~pl.col("source").str.strip_chars().is_in(kept))
    assert unknown.rows() == []


@pytest.mark.parametrize("name", derived_models())
def test_every_standard_error_stands_beside_its_estimate(name: str):
    columns = list(derived_models()[name].to_schema().columns)
    assert [column for column in columns if column.endswith("_se") and column.removesuffix("_se") not in columns] == []


def test_every_reason_has_its_sentence():
    assert all(sentence.strip().endswith((".", "?")) for sentence in all_caveats().values())
