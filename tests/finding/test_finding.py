"""The search for a fault, expected readings, sheets and practice."""

from __future__ import annotations

import random
from functools import cache
from statistics import median

import pytest

from panelwright import api
from panelwright.electrics import Network
from panelwright.finding import Search, Unclear, causes_of, cold_sheet, judge, live_sheet, search_text, sheet_text
from panelwright.finding.book import Book
from panelwright.finding.cold_bench import ColdBench
from panelwright.finding.cold_wires import wired_order
from panelwright.finding.planted import Isolation, first_symptom, isolate
from panelwright.finding.practice import NOT_FOR_CLASS, hide, tasks_for, worksheet
from panelwright.wiring import Wiring

DEMO = ("well-pump", "grader-conveyor", "cold-store-fan", "lift-station")


@cache
def panel(name: str) -> Wiring:
    """A demo panel, wired once."""
    return api.wire(api.read_file(api.ready_circuits() / "orchard" / f"{name}.panel").circuit)


def test_a_failed_hold_in_is_found_in_trade_words() -> None:
    """In both vocabularies."""
    for words in ("K1 runs only while S2 is held", "the relay does not seal in", "the pump only jogs"):
        best = Search.of(panel("well-pump")).see(words).groups[0].best

        assert best.id == "contact-open:K1.9-5"


def test_what_the_design_does_is_said() -> None:
    """A symptom that the sound panel has, too."""
    assert Search.of(panel("well-pump")).see("K1 is out @ at rest").ranking.sound


def test_evidence_that_nothing_explains_is_named() -> None:
    """Instead of an empty list."""
    search = Search.of(panel("well-pump")).see("K1 is in @ S2 held").read("K1.13 to K1.14: 9 V @ S2 held")
    search = search.read("G1.+ to G1.-: 48 V @ S2 held")

    assert not search.ranking.explaining
    assert search.ranking.contradicting
    assert search.groups


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        ("K9 does not start", "there is no device called K9"),
        ("it smells", "is not understood"),
        ("", "is not understood"),
    ],
)
def test_words_that_mean_nothing_get_help(words: str, hint: str) -> None:
    """What would be understood."""
    with pytest.raises(Unclear, match=hint):
        Search.of(panel("well-pump")).see(words)


@pytest.mark.parametrize(
    "words", ["K1.99 to G1.-: 0 V", "K1.13: 24 V", "K1.13 to G1.-: much", "K1.13 to G1.-: 3 V @ moon"]
)
def test_readings_that_mean_nothing_get_help(words: str) -> None:
    """Where, what and how to mend it."""
    with pytest.raises(Unclear):
        Search.of(panel("well-pump")).read(words)


def test_a_cold_search_proposes_nothing_live() -> None:
    """For those who may not work live."""
    search = Search.of(panel("well-pump"), live=False).see("K1 does not pull in")

    assert {one.test.hazard for one in search.proposals} == {0}


@pytest.mark.parametrize("name", ["well-pump", "grader-conveyor"])
def test_planted_faults_are_isolated(name: str) -> None:
    """A few here; benchmarks/finding_planted.py takes 200 of each panel."""
    wiring = panel(name)
    causes = [cause for cause in causes_of(wiring) if cause.kind not in NOT_FOR_CLASS]
    random.Random(3).shuffle(causes)
    book = Book(wiring)
    ways: list[Isolation] = []
    for cause in causes:
        symptom = first_symptom(book, cause)
        if symptom and len(ways) < 6:
            ways.append(isolate(Search.of(wiring, new=cause.is_miswire).with_pieces(symptom), cause))

    assert all(way.found for way in ways), [way.cause.id for way in ways if not way.found]
    # of six faults one may be of the hard kind, so the middle one is judged
    assert median(way.looks + way.readings for way in ways) < 8


@pytest.mark.parametrize("name", DEMO)
def test_every_terminal_is_touched_and_every_wire_lies_between_a_pair(name: str) -> None:
    """As few readings as can touch every terminal, and no wire that none of them needs."""
    wiring = panel(name)
    sheet = cold_sheet(wiring)
    pairs = [line for part in sheet.parts if part.title.startswith("Wires, end to end") for line in part.lines]
    touched = {end for line in pairs for end in (line.a, line.b)}
    bench = ColdBench(wiring)
    orders = [wired_order(wiring, net) for net in wiring.nets]

    assert {end for wire in wiring.wires for end in wire.ends} == touched
    assert sum((len(order) + 1) // 2 for order in orders if len(order) > 1) == len(pairs)
    for cause in causes_of(wiring):
        if cause.kind == "wire-open" and bench.can_be_put_in(cause):
            assert any(_tells(bench, cause, line) for line in pairs), cause.words


def _tells(bench: ColdBench, cause: object, line: object) -> bool:
    at = next(p for p in bench.positions if p.situation == line.situation)  # type: ignore[attr-defined]
    return bench.tells(cause, at, line.a, line.b)  # type: ignore[arg-type,attr-defined]


def test_the_cold_sheet_of_the_well_pump_shows_every_wiring_mistake() -> None:
    """Left out, landed wrong, exchanged, bridged, one at a time; ours, worked out, no outside source."""
    assert not any(line.startswith("No resistance shows") for line in cold_sheet(panel("well-pump")).covers)


@pytest.mark.parametrize("name", ["well-pump", "grader-conveyor", "cold-store-fan"])
def test_the_live_sheet_works_every_contact_both_ways(name: str) -> None:
    """Those that are wired in the control circuit."""
    assert not any("Not seen" in line for line in live_sheet(panel(name)).covers)


def test_a_failed_line_goes_to_the_search() -> None:
    """With the lines that passed."""
    wiring = panel("well-pump")
    sheet = live_sheet(wiring)
    held = next(n for n, line in enumerate(sheet.lines, 1) if line.do == "Let go of S2")
    results = dict.fromkeys(range(2, held), "ok") | {held: "no"}
    found = judge(wiring, sheet, results)

    assert [held] == [one.number for one in found.failed]
    assert found.search is not None
    assert "K1.9" in found.search.groups[0].best.id


def test_sheets_have_cautions_at_their_head() -> None:
    """Before the first line to do."""
    for sheet in (cold_sheet(panel("well-pump")), live_sheet(panel("well-pump"))):
        head = sheet_text(sheet).splitlines()[:5]

        assert any(line.startswith("!") for line in head)


def test_practice_is_the_same_for_the_same_seed() -> None:
    """A class and its teacher print at different times."""
    one, other = (worksheet(tasks_for(panel("well-pump"), 2, 5, None), 5, answers=True) for _ in range(2))

    assert one == other


def test_a_learner_who_finds_it_scores() -> None:
    """More for fewer readings."""
    task = hide(panel("well-pump"), cause="coil-open:K1.coil")
    first = task.score(task.cause.id)
    task.measure("K1.13", "K1.14", "S2 held")

    assert first.right
    assert task.measure("K1.13", "K1.14", "S2 held").value == pytest.approx(24)
    assert not task.score("S1").right


def test_a_lifted_lead_changes_the_reading() -> None:
    """One lead parked, one lifted."""
    circuit = panel("well-pump").circuit
    table = api.readings(circuit, ["S2 held"], between=("K1.13", "G1.-"), lifted="K1.13")

    assert table.values["readings"][0]["value"] == pytest.approx(0, abs=0.1)


def test_the_core_of_a_large_search_is_smaller_than_the_panel(monkeypatch: pytest.MonkeyPatch) -> None:
    """A panel of many devices is not played whole, once for each cause; here the limit is lowered."""
    monkeypatch.setattr("panelwright.finding.book.SMALL", 12)
    wiring = api.wire(api.read_file(api.ready_circuits() / "orchard" / "lift-station.panel").circuit)
    search = Search.of(wiring).see("Q1 does not pull in")
    core, whole = search.book.core, Network(wiring)

    assert len(core.elements.consumers) < len(whole.elements.consumers)


def test_what_was_asked_before_does_not_change_an_answer() -> None:
    """The same words give the same causes and the same next test, whoever searched in this panel before."""
    fresh = api.wire(api.read_file(api.ready_circuits() / "orchard" / "cold-store-fan.panel").circuit)
    first = Search.of(fresh).see("K1 does not pull in")
    for words in ("H1 is lit @ at rest", "the fan does not run in AUTO", "H2 is lit @ at rest"):
        assert Search.of(fresh).see(words).proposals
    again = Search.of(fresh).see("K1 does not pull in")

    assert search_text(first) == search_text(again)
