"""Test: a cold or live sheet on the page, filled in line by line, judged at once, put into the records on purpose."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from itertools import groupby
from typing import Any

from ..finding import Sheet, SheetLine, cold_sheet, live_sheet
from ..finding.judging import verdict_on
from ..records import Line, Records, RecordsUnreadable, Sitting, beside
from . import protocol as ask
from .aside import Aside, Broken
from .files import PanelFile
from .notebook import Kind, Notebook, Result, places_of
from .working import work_out

UNITS = {"ohms": "ohm", "volts": "V"}
NOTHING_SIGNED = "Say first who tested: a result that nobody stands for is not kept."
View = dict[str, Any]


class SheetDesk:
    """Makes a sheet. Raises: Broken when the text cannot be wired."""

    def __init__(self, text: str, name: str) -> None:
        worked = work_out(text, name)
        if worked.wiring is None or worked.has_mistakes:
            raise Broken(f"There is no sheet to make: {worked.why_not or 'mend the mistakes in the text first'}.")
        self.wiring = worked.wiring

    def __call__(self, kind: Kind) -> Sheet:
        return cold_sheet(self.wiring) if kind == "cold" else live_sheet(self.wiring)


class Tester:
    """The sheet of a bench. `state`: "" none, "working", "open", "stale" (the text changed), or why not."""

    def __init__(self, changed: Callable[[], None], file: PanelFile, notebook: Notebook) -> None:
        self.state = ""
        self.kind: Kind = "cold"
        self.text = ""
        self.sheet: View = {}
        self.told = ("", "")  # (told or refused, words)
        self._file = file
        self._notebook = notebook
        self._lines: tuple[SheetLine, ...] = ()
        self._places: tuple[tuple[str, str, int], ...] = ()
        self._kept: View = {}
        self._changed = changed
        self._aside = Aside(self._took)

    # -- what the page shows ---------------------------------------------------------------------------------------

    def sheet_view(self) -> View:
        """The sheet as it would be printed; the same object as long as nothing changed."""
        return {"state": self.state, "kind": self.kind, **self.sheet}

    def results_view(self) -> View:
        """What was entered, with its verdict, by line number."""
        entries = {number: self._entry(self._lines[number - 1], one) for number, one in self._entered().items()}
        verdicts = [one["verdict"] for one in entries.values()]
        about = self._notebook.notes.about
        return {
            "about": {"panel": about.panel, "by": about.by, "meter": about.meter, "date": about.date},
            "entries": entries,
            "failed": verdicts.count("failed"),
            "unclear": verdicts.count("not understood"),
            "to_keep": sum(not one.kept for one in self._results),
            "told": self.told,
            "kept": self._kept,
        }

    @staticmethod
    def _entry(line: SheetLine, one: Result) -> View:
        return {"result": one.result, "verdict": verdict_on(line, one.result), "by": one.by, "kept": one.kept}

    @property
    def _results(self) -> list[Result]:
        return self._notebook.notes.results(self.kind)

    def _entered(self) -> dict[int, Result]:
        """Line number to its result; what belongs to no line of this sheet is left out, and stays noted."""
        by_place = {(one.do, one.expect, one.nth): one for one in self._results}
        return {n: by_place[place] for n, place in enumerate(self._places, 1) if place in by_place}

    def entered(self) -> dict[int, str]:
        """Results by line number, as `judge` takes them."""
        return {number: one.result for number, one in self._entered().items()}

    # -- requests --------------------------------------------------------------------------------------------------

    async def take(self, request: ask.OpenSheet | ask.Enter | ask.SheetHead | ask.KeepResults | ask.NewSheet,
                   text: str, name: str) -> None:  # fmt: skip
        """Do what a page asks for."""
        self.told = ("", "")
        if isinstance(request, ask.OpenSheet):
            self._open(request.kind, text, name)
        elif isinstance(request, ask.Enter):
            self._enter(request.number, request.result)
        elif isinstance(request, ask.SheetHead):
            setattr(self._notebook.notes.about, request.field, request.words.strip())
            self._refuse(self._notebook.write())
        elif isinstance(request, ask.NewSheet):
            self._results.clear()
            self._refuse(self._notebook.write())
        else:
            await self._keep()

    def text_changed(self) -> None:
        """The sheet was made of another text."""
        self._aside.close()
        if self.state in ("open", "working"):
            self.state = "stale"

    def stop(self) -> None:
        """Nobody looks any more; what was entered is noted."""
        self._aside.close()
        if self.state == "working":
            self.state = ""

    def _open(self, kind: Kind, text: str, name: str) -> None:
        self.kind, self.text, self.state = kind, text, "working"
        self.sheet, self._lines, self._places = {}, (), ()
        self._aside.open(SheetDesk, text, name)
        self._aside.ask(kind)

    def _took(self, answer: Sheet | Broken) -> None:
        self._aside.close()
        if isinstance(answer, Broken):
            self.state = str(answer)
        else:
            self._lines = answer.lines
            self._places = places_of(answer.lines)
            self.sheet = _sheet_view(answer)
            self.state = "open"
            self._count_kept()
        self._changed()

    def _enter(self, number: int, result: str) -> None:
        if self.state != "open" or not 1 <= number <= len(self._lines):
            self._refuse("That line is no longer there; make the sheet again.")
            return
        do, expect, nth = self._places[number - 1]
        notes = self._notebook.notes
        rest = [one for one in self._results if (one.do, one.expect, one.nth) != (do, expect, nth)]
        if result.strip():
            rest.append(Result(do, expect, nth, result.strip(), notes.about.by, notes.about.meter))
        self._results[:] = rest
        self._refuse(self._notebook.write())

    # -- records ---------------------------------------------------------------------------------------------------

    async def _keep(self) -> None:
        """One sitting for each who tested, with each meter; what is kept already stays as it is."""
        if self.state != "open":
            self._refuse("Make the sheet again first; what you entered stays.")
            return
        about = self._notebook.notes.about
        fresh = {number: one for number, one in self._entered().items() if not one.kept}
        if not fresh:
            self._refuse("There is nothing new to keep.")
        elif not all(one.by or about.by for one in fresh.values()):
            self._refuse(NOTHING_SIGNED)
        else:
            await self._put_into_records(fresh)
        self._count_kept()

    async def _put_into_records(self, fresh: dict[int, Result]) -> None:
        about = self._notebook.notes.about
        records = Records(beside(self._file.path))
        numbers = []
        for (by, meter), lines in list(self._sittings(fresh)):
            sitting = Sitting(self.kind, about.panel, by, meter, about.date, tuple(lines))
            try:
                number = await asyncio.to_thread(records.add, sitting, self.text)
            except (OSError, RecordsUnreadable) as reason:
                self._refuse(f"Not kept: {reason}. What you entered is still noted here.")
                return
            numbers.append(str(number))
            for line in lines:
                fresh[line.number].by, fresh[line.number].kept = by, number
        self.told = ("told", f"Kept as no. {' and '.join(numbers)} in {records.path.name}.")
        self._refuse(self._notebook.write())

    def _refuse(self, why_not: str) -> None:
        if why_not:
            self.told = ("refused", why_not)

    def _sittings(self, fresh: dict[int, Result]) -> Iterator[tuple[tuple[str, str], list[Line]]]:
        about = self._notebook.notes.about

        def who(number: int) -> tuple[str, str]:
            return fresh[number].by or about.by, fresh[number].meter or about.meter

        for key, numbers in groupby(sorted(fresh, key=lambda number: (*who(number), number)), who):
            yield key, [self._line(number, fresh[number]) for number in numbers]

    def _line(self, number: int, one: Result) -> Line:
        line = self._lines[number - 1]
        return Line(number, line.do, line.expect, one.result, verdict_on(line, one.result))

    def _count_kept(self) -> None:
        """How many tests the records hold, and the last of them."""
        try:
            kept = Records(beside(self._file.path)).all()
        except (OSError, RecordsUnreadable) as reason:
            self._kept = {"count": 0, "last": "", "unreadable": str(reason)}
            return
        last = f"{kept[-1].at[:10]}, {kept[-1].sitting.kind}, {kept[-1].sitting.by}" if kept else ""
        self._kept = {"count": len(kept), "last": last, "unreadable": ""}


def _sheet_view(sheet: Sheet) -> View:
    number = 0
    parts = []
    for part in sheet.parts:
        lines = []
        for line in part.lines:
            number += 1
            lines.append({"number": number, "do": line.do, "expect": line.expect, "mind": line.mind, "kind": line.kind,
                          "unit": UNITS.get(line.kind, ""), "from": line.a, "to": line.b})  # fmt: skip
        parts.append({"title": part.title, "words": list(part.words), "lines": lines})
    return {"title": sheet.title, "cautions": list(sheet.cautions), "covers": list(sheet.covers), "parts": parts,
            "count": number}  # fmt: skip
