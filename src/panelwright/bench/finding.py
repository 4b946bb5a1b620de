"""Find: the search for a fault of a real panel, as the page shows it. The search itself lives in a process aside."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from ..circuit import Circuit
from ..finding import Search, Unclear, UnknownMeter, cold_sheet, judge, live_sheet
from ..finding.evidence import AS_DRAWN, NOT_AS_DRAWN
from ..finding.naming import states_of
from ..finding.proposing import Proposal
from ..finding.ranking import Group
from ..finding.steps import Test, told_test
from ..finding.symptoms import told
from ..finding.telling_search import CAUTIONS
from ..finding.verdict import dangers_of, test_after
from . import protocol as ask
from .aside import Aside, Broken
from .testing import Tester
from .working import work_out

MOST_GROUPS, MOST_MEMBERS, MOST_NEXT, MOST_TOLD = 6, 4, 3, 2
MOST_MARKED = 24  # places on the drawing
NOT_THERE = "?"  # the outcome of causes with which there is no such place
NUMBER = re.compile(r"(-?\d+(?:\.\d+)?)\s*(k|M)?")
TIMES = {"": 1.0, "k": 1e3, "M": 1e6}
View = dict[str, Any]


class SearchDesk:
    """One search. Called with ("see", words), ("answer", index, outcome, value), ("back",), ... it gives the view.

    `kind`, `results`: a test sheet filled in, by line number, to begin with. Raises: Broken when the text cannot be
    wired.
    """

    def __init__(self, text: str, name: str, kind: str = "", results: Mapping[int, str] | None = None) -> None:
        worked = work_out(text, name)
        if worked.wiring is None:
            raise Broken(f"There is no circuit to search in: {worked.why_not or 'mend the text first'}.")
        self.search = Search.of(worked.wiring)
        if results:
            sheet = cold_sheet(worked.wiring) if kind == "cold" else live_sheet(worked.wiring)
            self.search = judge(worked.wiring, sheet, results).search or self.search
        self.refused = ""

    def __call__(self, asked: tuple[Any, ...]) -> View:
        self.refused = ""
        what, *rest = asked
        getattr(self, f"do_{what}")(*rest)
        return view_of(self.search, self.refused)

    def do_look(self) -> None:
        """Nothing new: only the view is wanted."""

    def do_see(self, words: str) -> None:
        """A symptom, a reading, or something that changed, in words."""
        ways = (self.search.read, self.search.see) if ":" in words else (self.search.see, self.search.read)
        reasons = []
        for take in (*ways, self.search.changed):
            try:
                self.search = take(words)
                return
            except Unclear as reason:
                reasons.append(str(reason))
        self.refused = reasons[0]

    def do_answer(self, index: int, outcome: str, value: float | None) -> None:
        """The outcome of a proposed test: a word that was offered, or a value in the test's unit."""
        if index >= len(self.search.proposals):
            self.refused = "That test is no longer asked for; answer the one that is shown now."
            return
        test = self.search.proposals[index].test
        if test.unit and outcome != "open" and value is None:
            value = value_of(outcome)
        self.search = self.search.answered(test, outcome, value)

    def do_without(self, index: int) -> None:
        """Take one piece back."""
        if index < len(self.search.evidence):
            self.search = self.search.without(index)

    def do_suppose(self, new: bool | None, live: bool | None, meter: str) -> None:
        """What kind of panel it is, and what may be read with what."""
        self.search = self.search.but(new=new, live=live)
        if meter:
            try:
                self.search = self.search.with_meter(meter)
            except UnknownMeter as reason:
                self.refused = str(reason)


def value_of(outcome: str) -> float | None:
    """The value of an outcome as a test tells it: "some 12 V" 12, "4.7 kohm" 4700; None for open."""
    match = NUMBER.search(outcome)
    return float(match[1]) * TIMES[match[2] or ""] if match else None


# -- the view --------------------------------------------------------------------------------------------------------


def view_of(search: Search, refused: str = "") -> View:
    """Everything that the page shows of a search."""
    known = bool(search.evidence)
    settled = known and search.is_settled
    groups = search.groups if known else ()
    return {
        "new": search.new,
        "live": search.live,
        "meter": search.meter.name,
        "refused": refused,
        "known": [told(piece) for piece in search.evidence],
        "changed": [change.words for change in search.changes],
        "as_drawn": known and search.ranking.sound,
        "explained": known and bool(search.ranking.explaining),
        "doubtful": [told(piece) for piece in search.ranking.contradicting] if known else [],
        "groups": [_group(group) for group in groups[:MOST_GROUPS]],
        "more": max(0, len(groups) - MOST_GROUPS),
        "next": [] if settled or not known else [_next(search, one) for one in search.proposals[:MOST_NEXT]],
        "settled": settled,
        "verdict": _verdict(search) if settled else {},
        "dangers": list(dangers_of(search)) if known else [],
        "cautions": list(CAUTIONS),
        "marks": marks_of(groups),
    }


def _group(group: Group) -> View:
    members = [one.cause.words for one in group.members[:MOST_MEMBERS]]
    return {
        "percent": round(100 * group.probability),
        "members": members,
        "more": len(group.members) - len(members),
        "devices": list(dict.fromkeys(tag for one in group.members for tag in one.cause.tags))[:MOST_MEMBERS],
    }


def _next(search: Search, proposal: Proposal) -> View:
    test = proposal.test
    return {
        "do": told_test(search.wiring, test),
        "kind": test.kind,
        "unit": test.unit,
        "from": test.a if test.unit else "",
        "to": test.b if test.unit else "",
        "device": "" if test.unit else test.a,
        "outcomes": [
            {
                "word": branch.outcome,
                "percent": round(100 * branch.probability),
                "causes": [one.cause.words for one in branch.causes[:MOST_TOLD]],
                "more": max(0, len(branch.causes) - MOST_TOLD),
            }
            for branch in proposal.branches
            if branch.outcome != NOT_THERE
        ],
        "others": _others(search.wiring.circuit, test, [branch.outcome for branch in proposal.branches]),
    }


def _others(circuit: Circuit, test: Test, offered: list[str]) -> list[str]:
    """Words for what no cause would show, but somebody may see."""
    if test.unit:
        return [] if test.kind != "ohms" or "open" in offered else ["open"]
    both = (AS_DRAWN, NOT_AS_DRAWN) if test.kind == "leads" else states_of(circuit.by_tag[test.a])
    return [word for word in both if word not in offered]


def _verdict(search: Search) -> View:
    group = search.groups[0]
    return {"mend": group.best.mend, "proof": list(search.proof()), "after": list(test_after(search, group.best))}


def marks_of(groups: tuple[Group, ...]) -> list[View]:
    """Where on the drawing the causes that are left lie, with the number of their group, the likeliest first.

    The ends of a wire that is suspected, the part, or the whole device.
    """
    found: dict[tuple[str, str, int], View] = {}
    for number, group in enumerate(groups[:MOST_GROUPS], 1):
        for one in group.members[:MOST_MEMBERS]:
            parts = [fault.subject for fault in one.cause.faults if "." in fault.subject]
            places = [("terminal", end) for end in one.cause.ends] or [("part", part) for part in parts]
            for kind, place in places or [("device", tag) for tag in one.cause.tags]:
                found.setdefault((kind, place, number), {"kind": kind, "place": place, "number": number})
    return list(found.values())[:MOST_MARKED]


class Finder:
    """The search of a bench. `state`: "" none, "thinking", "ready", "stale" (the text changed), or why not."""

    def __init__(self, changed: Callable[[], None]) -> None:
        self.state = ""
        self._view: View = {}
        self._waiting = 0
        self._changed = changed
        self._aside = Aside(self._took)

    def view(self) -> View:
        """What the page shows."""
        return {"state": self.state, **self._view}

    def take(self, request: ask.Find | ask.Tell | ask.Found | ask.Without | ask.Suppose, text: str, name: str,
             tester: Tester) -> None:  # fmt: skip
        """Do what a page asks for; the results of the test sheet come from `tester`."""
        if isinstance(request, ask.Find):
            if request.go:
                self.start(text, name, *((tester.kind, tester.entered()) if request.results else ()))
            else:
                self.stop()
        elif isinstance(request, ask.Tell):
            self._say("see", request.words)
        elif isinstance(request, ask.Found):
            self._say("answer", request.index, request.outcome, request.value)
        elif isinstance(request, ask.Without):
            self._say("without", request.index)
        else:
            self._say("suppose", request.new, request.live, request.meter)

    def start(self, text: str, name: str, kind: str = "", results: Mapping[int, str] | None = None) -> None:
        """Begin with nothing known yet, or with what a test sheet of that kind gave."""
        self._aside.open(SearchDesk, text, name, kind, results)
        self._view, self._waiting = {}, 0
        self._say("look")

    def _say(self, *asked: Any) -> None:
        """Tell the search something; without one, nothing happens."""
        if self._aside.is_open:
            self._waiting += 1
            self.state = "thinking"
            self._aside.ask(asked)

    def text_changed(self) -> None:
        """The search was about another text."""
        if self._aside.is_open:
            self._aside.close()
            self.state = "stale"

    def stop(self) -> None:
        """End the search."""
        self._aside.close()
        self.state, self._view = "", {}

    def _took(self, answer: View | Broken) -> None:
        self._waiting = max(0, self._waiting - 1)
        if isinstance(answer, Broken):
            self._aside.close()
            self.state = str(answer)
        else:
            self._view = answer
            self.state = "thinking" if self._waiting else "ready"
        self._changed()
