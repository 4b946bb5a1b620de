"""The search: what is offered next, pairs, changes, notes, and the whole way in advance."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from panelwright import api
from panelwright.finding import (
    Search,
    Unclear,
    causes_of,
    notes_text,
    read_notes,
    search_text,
    search_values,
    tree_of,
    tree_text,
    tree_values,
)
from panelwright.finding.book import book_about
from panelwright.finding.changes import changes
from panelwright.finding.efforts import MOVES
from panelwright.finding.naming import phrases
from panelwright.finding.offers import late_tests
from panelwright.finding.pairing import both
from panelwright.finding.planted import first_symptom, isolate
from panelwright.finding.steps import Bench, told_test
from panelwright.finding.tree import MOST_DEPTH
from panelwright.wiring import Wiring

ROOT = Path(__file__).parents[2]


@cache
def panel(name: str) -> Wiring:
    """A demo panel, wired once."""
    return api.wire(api.read_file(api.ready_circuits() / "orchard" / f"{name}.panel").circuit)


def pump(*seen: str) -> Search:
    """A search in the well pump with this seen."""
    search = Search.of(panel("well-pump"))
    for words in seen:
        search = search.see(words)
    return search


# -- tests that are no readings ----------------------------------------------------------------------------------------


def test_a_test_that_may_move_something_is_offered_only_where_it_tells_more() -> None:
    """Never a dangerous one when a safe one tells as much."""
    for search in (pump("K1 does not start"), pump("K1 does not hold in"), pump("H1 does not light")):
        safe = max(one.bits for one in search.proposals if one.test.hazard < MOVES)

        assert all(one.bits > safe for one in search.proposals if one.test.hazard >= MOVES)


def test_no_test_lead_bypasses_what_protects() -> None:
    """Not across a stop, an emergency stop, a trip, or any break contact: common practice, no source."""
    for name in ("well-pump", "grader-conveyor", "cold-store-fan", "lift-station"):
        book = Search.of(panel(name)).words_book
        causes = [cause for cause in book.causes if cause.tags]
        evidence = next(
            search.evidence
            for tag in book.circuit.by_tag
            for search in [_or_none(panel(name), f"{tag} does not pull in")]
            if search is not None
        )
        bridged = [test for test in late_tests(book, evidence, causes) if test.row == "test-lead"]

        assert bridged
        for test in bridged:
            ends = {test.situation.altered[-1].subject, test.situation.altered[-1].other}
            across = [
                part
                for device in book.circuit.devices
                for part in device.contacts
                if {f"{device.tag}.{part.a}", f"{device.tag}.{part.b}"} == ends
            ]
            assert all(part.form in ("no", "at") and not part.main for part in across), told_test(panel(name), test)


def _or_none(wiring: Wiring, words: str) -> Search | None:
    try:
        return Search.of(wiring).see(words)
    except Unclear:
        return None


def test_every_test_that_may_move_something_tells_its_danger() -> None:
    """On screen and on paper it is one sentence."""
    search = pump("K1 does not pull in")
    causes = [one.cause for one in search.ranking.best]
    for test in late_tests(search.book, search.evidence, causes):
        assert (test.hazard < MOVES and test.kind != "ohms") or "Mind: " in told_test(panel("well-pump"), test)


def test_a_shorted_coil_and_an_earthed_wire_are_told_apart_with_a_lead_off() -> None:
    """With an earthed common both read nothing to earth, so a lead is taken off: common practice, no source."""
    search = Search.of(panel("grader-conveyor")).see("3FU blows when 2PB is pressed")
    by_id = {one.cause.id: one.cause for one in search.ranking.best}
    earthed, shorted = by_id["conductor-earthed:@3:earth"], by_id["coil-shorted:1M.coil"]
    bench = Bench(search.book, search.meter)
    alone = [t for t in late_tests(search.book, search.evidence, [earthed, shorted]) if t.row == "leads-off"]

    assert any(bench.shown_by(test, earthed) != bench.shown_by(test, shorted) for test in alone)
    assert not any({earthed.id, shorted.id} <= {one.cause.id for one in group.members} for group in search.groups)


def test_amps_are_read_where_a_clamp_shows_something() -> None:
    """A motor that has lost a phase: two leads carry current, the third none."""
    search = Search.of(panel("grader-conveyor")).see("the motor hums and does not turn")
    found = search.read("2FU.2 to 1M.L1: 0 A @ 2PB held")

    assert any(one.test.kind == "amps" for one in search.proposals)
    assert 0 < len(found.groups) < len(search.groups)
    assert all("pole2" not in one.cause.id for one in found.ranking.explaining)


def test_a_renewed_fuse_that_holds_was_the_only_fault() -> None:
    """And one that blows again was not."""
    wiring = panel("grader-conveyor")
    search = Search.of(wiring).see("1M does not pull in").see("3FU is blown @ 2PB held")
    holds = search.see("3FU is whole @ 3FU renewed, 2PB held")
    again = search.see("3FU is blown @ 3FU renewed, 2PB held")

    assert holds.groups[0].best.kind == "fuse-blown"
    assert "fuse-blown:3FU.pole1" not in {one.cause.id for one in again.ranking.explaining}
    assert again.ranking.explaining


def test_leads_that_are_not_as_drawn_end_the_search_at_that_device() -> None:
    """Whoever looks at them sees which one it is."""
    search = Search.of(panel("cold-store-fan"), new=True).see("H1 is dark @ running")
    found = search.see("leads on F2 are not as drawn")

    assert len(search.groups) > 40
    assert all("F2" in one.cause.tags for one in found.ranking.explaining)
    assert sum(one.cause.is_miswire for one in found.groups[0].members) > 10


# -- large panels ------------------------------------------------------------------------------------------------------

LEFT_OUT_ONCE = (
    "own-end-landed:B2.13:X5.3:X5.4", "terminals-bridged:T9.2U:T9.2V", "lead-landed:X5.2:X5.1", "lead-landed:L.L1:L.L2",
)  # fmt: skip


def test_strips_supplies_and_shorts_are_found_in_large_panels(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is played in the core alone has to hold in the whole panel; here the limit is lowered."""
    monkeypatch.setattr("panelwright.finding.book.SMALL", 12)
    wiring = api.wire(api.read_file(api.ready_circuits() / "orchard" / "cold-store-fan.panel").circuit)
    causes = {cause.id: cause for cause in causes_of(wiring)}
    for name in LEFT_OUT_ONCE:
        symptom = first_symptom(book_about(wiring, ()), causes[name])
        way = isolate(Search.of(wiring, new=causes[name].is_miswire).with_pieces(symptom), causes[name])

        assert way.found, name


def test_a_breaker_is_seen_tripped_off_or_on() -> None:
    """Its lever stands in the middle when it has tripped: trade."""
    book = Search.of(panel("lift-station")).words_book
    situation = next(s for s in book.situations if s.name == "SA1 at HAND")
    seen = {
        cause.kind: book.look(played, "F13", situation)
        for cause in book.causes
        if "F13" in cause.tags and cause.kind in ("fuse-blown", "own-switched-off")
        for played in [book.played(cause, situation)]
        if played is not None
    }

    assert seen == {"fuse-blown": "tripped", "own-switched-off": "off"}
    assert book.look(book.sound(situation), "F13", situation) == "on"


# -- two at once -------------------------------------------------------------------------------------------------------

TWO = ("H2 is dark @ at rest", "H1 is dark @ S2 held", "K1 does not hold in")


def test_two_at_once_are_found_when_no_single_one_explains() -> None:
    """Common practice, no source: a lamp circuit that was broken for long, then the hold-in contact."""
    search = pump(*TWO)

    assert not search.ranking.explaining
    assert search.ranking.contradicting
    assert search.groups[0].best.id == "wire-open:G1.-:H1.X2 + contact-open:K1.9-5"
    assert "Two at once" in search_text(search)
    assert search_values(search)["pairs"]


def test_a_planted_pair_is_isolated() -> None:
    """The proposals go on from pairs as they do from single causes."""
    search = pump(*TWO)
    pair = search.groups[1].best
    way = isolate(search, pair)

    assert way.found
    assert way.left == 1


def test_a_hidden_cause_is_found_beside_the_one_that_shows() -> None:
    """A stop that does not open shows only when it is pressed; the burnt lamp alone would not tell it."""
    search = pump("H1 is dark @ running", "H2 is dark @ running", "K1 is in @ running", "K1 is in @ running, S1 held")
    expected = {
        both(one.cause, other.cause).id
        for one in pump("K1 is in @ running, S1 held").ranking.explaining
        for other in pump("H1 is dark @ running", "K1 is in @ running").ranking.explaining
        if one.cause.id.startswith("contact-welded:S1") and other.cause.id == "lamp-out:H1"
    }
    found = {" + ".join(sorted(one.cause.id.split(" + "))) for one in search.ranking.pairs}

    assert {" + ".join(sorted(one.split(" + "))) for one in expected} <= found


# -- what changed ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("it was wet", "conductor-earthed"),
        ("there was a thunderstorm", "supply-lost"),
        ("K1 was replaced", "lead-landed"),
    ],
)
def test_what_changed_makes_its_causes_likelier(words: str, kind: str) -> None:
    """The same evidence, weighed anew."""

    def share(search: Search) -> float:
        return sum(one.probability for one in search.ranking.explaining if one.cause.kind == kind)

    search = pump("K1 does not start")

    assert share(search.changed(words)) > 1.5 * share(search)


def test_nothing_changed_changes_nothing() -> None:
    """Neither does an empty change."""
    search = pump("K1 does not start")

    assert search_text(search) == search_text(search.changed("nothing"))


def test_every_listed_change_is_understood() -> None:
    """As the documentation lists it."""
    search = pump("K1 does not start")
    for row in changes():
        found = search.changed(row["says"])

        assert [one.says for one in found.changes] == [row["says"]] or row["says"] == "nothing changed"


def test_a_change_that_means_nothing_gets_help() -> None:
    """With what would be understood."""
    with pytest.raises(Unclear, match="it was wet"):
        pump("K1 does not start").changed("the moon was full")


# -- the words ---------------------------------------------------------------------------------------------------------


def test_every_listed_phrase_is_understood() -> None:
    """As the documentation lists it, with tags that the panel has."""
    wiring = panel("grader-conveyor")
    for phrase in phrases()["phrase"]:
        words = phrase["says"]
        for said, tag in (("K1", "1M"), ("S2", "2PB"), ("S1", "1PB"), ("H1", "1LT"), ("F1", "3FU"), ("M1", "1MTR")):
            words = words.replace(said, tag)

        assert Search.of(wiring).see(words).evidence, words


# -- notes -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["well-pump", "grader-conveyor", "cold-store-fan"])
def test_notes_are_read_as_they_were_written(name: str) -> None:
    """Whatever a test may show."""
    wiring = panel(name)
    search = Search.of(wiring, new=True, meter="two-pole", live=True).changed("it was wet").see("nothing happens")
    for proposal in search.proposals[:120]:
        for branch in proposal.branches:
            value = None
            if proposal.test.unit and branch.outcome != "open":
                value = float(branch.outcome.removeprefix("some ").split()[0])
            known = search.answered(proposal.test, branch.outcome, value)
            again, told = read_notes(wiring, notes_text(known))

            assert not told
            assert notes_text(again) == notes_text(known)
            assert [piece.situation for piece in again.evidence] == [piece.situation for piece in known.evidence]


def test_notes_of_another_wiring_are_told() -> None:
    """They are read all the same."""
    search, told = read_notes(panel("well-pump"), "panel: other (00000000)\nseen: K1 is out @ S2 held\n")

    assert "not the one" in told[0]
    assert search.evidence


@pytest.mark.parametrize(
    ("line", "hint"),
    [("sean: K1 is out", "begins no line"), ("seen: it smells", "not understood"),
     ("new: perhaps", "neither yes nor no"), ("meter: teapot", "no meter called"),
     ("reading: K1.99 to G1.-: 0 V", "K1")],
)  # fmt: skip
def test_a_line_of_notes_that_is_wrong_is_named(line: str, hint: str) -> None:
    """With its number, and how to mend it."""
    with pytest.raises(Unclear, match=f"line 2: .*{hint}"):
        read_notes(panel("well-pump"), f"# notes\n{line}\n")


# -- the whole way in advance ------------------------------------------------------------------------------------------


def test_the_tree_follows_the_search() -> None:
    """Each branch says what the search would, had its answers been given."""
    search = pump("K1 does not start")
    tree = tree_of(search, 5)
    node = tree.root
    while node.test is not None:
        assert search.proposals[0].test == node.test
        inner = node.nodes[0]
        value = None
        if node.test.unit and inner.outcome != "open":
            value = float(inner.outcome.removeprefix("some ").split()[0])
        search, node = search.answered(node.test, inner.outcome, value), inner


def test_the_ends_of_a_tree_hold_every_cause_once() -> None:
    """Nothing gets lost on paper."""
    search = pump("K1 does not start")
    tree = tree_of(search, MOST_DEPTH)
    ends = [one.cause.id for node in tree.root.walk() if node.is_end for group in node.groups for one in group.members]

    assert sorted(ends) == sorted(one.cause.id for one in search.ranking.best)
    assert sum(node.probability for node in tree.root.walk() if node.is_end) == pytest.approx(1, abs=0.01)
    assert tree.open_ends <= 1


def test_the_numbers_of_a_tree_count_its_tests() -> None:
    """From 1 on, in the order of the page."""
    tree = tree_of(pump("K1 does not start"), 3)
    numbers = [node.number for node in tree.root.walk() if node.test is not None]

    assert numbers == list(range(1, len(numbers) + 1))
    assert tree_values(tree)["root"]["then"]
    assert all(f"{number}. " in tree_text(tree) for number in numbers)


@pytest.mark.parametrize("make", [lambda: tree_of(pump(), 3), lambda: tree_of(pump("K1 does not start"), 9)])
def test_a_tree_without_a_start_or_an_end_is_refused(make: Callable[[], object]) -> None:
    """With the reason."""
    with pytest.raises(ValueError, match=r"nothing is known|1 to 8"):
        make()


# -- the same everywhere -----------------------------------------------------------------------------------------------

ASK = """
from panelwright import api
from panelwright.finding import search_text
circuit = api.read_file(api.ready_circuits() / "orchard" / "grader-conveyor.panel").circuit
print(search_text(api.find(circuit, ["1M does not pull in"], changed=["it was wet"])))
"""


def test_an_answer_does_not_depend_on_the_seed_of_hashes() -> None:
    """Two processes that order their sets differently say the same."""
    said = {
        subprocess.run(
            [sys.executable, "-c", ASK],
            check=True,
            capture_output=True,
            text=True,
            env={"PYTHONHASHSEED": seed},
            cwd=ROOT,
        ).stdout
        for seed in ("1", "2")
    }

    assert len(said) == 1
