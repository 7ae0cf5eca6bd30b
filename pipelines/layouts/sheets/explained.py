"""Short headings that a title explains: 'e' below 'min = minutes, e = effort 0-10 (10 = hardest)'."""

import dataclasses
import re

from pipelines.layouts.sheets.blocks import is_heard
from pipelines.layouts.words.headings import read_heading
from pipelines.layouts.words.titled import texts_of
from schemas.intake import TextTable

LONGEST = 6  # letters of what a title explains; own choice


def with_explained_headings(table: TextTable) -> TextTable:
    """Return a table whose short headings say what its titles explain them to be."""
    header = [explained(text, table) for text in table.header]
    return table if header == list(table.header) else dataclasses.replace(table, header=header)


def explained(text: str, table: TextTable) -> str:
    """Return what a title says that a heading stands for, where it says nothing by itself and the words there do."""
    if not text or len(text) > LONGEST or not text[0].isalpha() or is_heard(read_heading(0, text)):
        return text
    for title in texts_of(table):
        found = re.search(rf"(?<![^\W_]){re.escape(text)}\s*[=:]\s*([^,;()]+(?:\([^()]*\))?)", title, re.I)
        if found is not None and is_heard(read_heading(0, found[1].strip())):
            return found[1].strip()
    return text
