"""Tables as a spreadsheet: one page for each, the heading fixed and to be filtered by."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from .answering import CouldNot

WIDEST = 60  # characters; longer texts are wrapped


@dataclass(frozen=True, slots=True)
class Page:
    """One page: its name (at most 31 characters), the heads of its columns and the rows below them.

    `fixed`: so many columns stay in sight when one scrolls to the right.
    """

    name: str
    heads: tuple[str, ...]
    rows: Sequence[Sequence[str | float]]
    fixed: int = 1


def write_spreadsheet(path: Path, pages: Iterable[Page]) -> None:
    """Write the pages as .xlsx. Raises: CouldNot when the file cannot be written."""
    from xlsxwriter import Workbook
    from xlsxwriter.exceptions import FileCreateError

    # texts from a panel file are texts, whatever they begin with
    book = Workbook(path, {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False})
    bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
    wrapped = book.add_format({"text_wrap": True, "valign": "top"})
    for page in pages:
        sheet = book.add_worksheet(page.name)
        for row, values in enumerate((page.heads, *page.rows)):
            for column, value in enumerate(values):
                sheet.write(row, column, value, wrapped if row else bold)
        for column in range(len(page.heads)):
            longest = max(len(str(values[column])) for values in (page.heads, *page.rows))
            sheet.set_column(column, column, min(longest + 2, WIDEST))
        sheet.freeze_panes(1, page.fixed)
        sheet.autofilter(0, 0, len(page.rows), len(page.heads) - 1)
    try:
        book.close()
    except FileCreateError as reason:
        raise CouldNot(f"{path} could not be written: {reason}") from reason
