"""How much a file may hold, asked before it is made: a few hundred bytes can say 'these cells again, a billion times'.

A file over a budget is refused whole, in a sentence. The numbers are our own choice: some ten times the largest sheet
that a squad of a hundred keeps for ten years, and few enough for a machine with little memory.
"""

from pipelines.errors import UnreadableSource

SHEET_CELLS = 1_500_000  # filled cells of a workbook, all sheets together, repeats and merges counted
GRID_CELLS = 20_000_000  # cells of one table, empty ones between filled ones counted
CELL_CHARACTERS = 32_767  # in one cell; what spreadsheets hold (from memory)
BLANK_RUN = 500  # blanks in a row within a cell
TEXT_ROWS = 3_000_000  # rows of a text file that must be read one by one
EMPTY_ROWS = 1_000_000  # rows without anything in them

_SAVE_AS_CSV = "Save the sheet as .csv and load that, or load it in parts."
BLANKS = " " * BLANK_RUN


class Budget:
    """What is left of the cells of one file."""

    def __init__(self, name: str, cells: int = SHEET_CELLS) -> None:
        self.name = name
        self.most = cells
        self.left = cells

    def take(self, cells: int) -> None:
        """Take so many cells of the budget, before they are made.

        Raises:
            UnreadableSource: The file holds more.
        """
        self.left -= cells
        if self.left < 0:
            why = f"it holds more than {self.most:,} cells, repeats and merged cells counted: it is refused."
            raise UnreadableSource(self.name, why, _SAVE_AS_CSV)


def refuse_grid(name: str, rows: int, columns: int) -> None:
    """Refuse a table of more cells than are read at once."""
    if rows * columns > GRID_CELLS:
        why = f"its table has {rows:,} rows of {columns:,} columns, more cells than are read at once: it is refused."
        raise UnreadableSource(name, why, "Load it in parts.")


def refuse_cell(name: str, line: int, text: str) -> None:
    """Refuse a cell that is no cell of a table: far too long, or mostly blank."""
    if len(text) > CELL_CHARACTERS:
        why = f"a cell on line {line} holds {len(text):,} characters; {CELL_CHARACTERS:,} are read at most."
        raise UnreadableSource(name, why, "Mend the line, or export the file again.")
    if len(text) > BLANK_RUN and (BLANKS in text or "\u00a0" * BLANK_RUN in text or "\t" * BLANK_RUN in text):
        why = f"a cell on line {line} holds more than {BLANK_RUN} blanks in a row."
        raise UnreadableSource(name, why, "Mend the line, or export the file again.")
