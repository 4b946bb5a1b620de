"""Plain tables for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence


def table(rows: Sequence[Sequence[str]], indent: str = "  ") -> Iterator[str]:
    """Rows with their columns lined up, two blanks between; the last column is not padded."""
    if not rows:
        return
    widths = [max(len(row[column]) for row in rows if column < len(row)) for column in range(max(map(len, rows)))]
    for row in rows:
        cells = [cell.ljust(widths[column]) for column, cell in enumerate(row)]
        yield (indent + "  ".join(cells)).rstrip()
