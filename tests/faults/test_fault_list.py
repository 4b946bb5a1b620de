"""The fault list: everything that can be wrong with a panel, each with a sentence that puts it in."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

import panelwright as pw
from panelwright.behaviour import Injected, inject
from panelwright.circuit import Inject
from panelwright.electrics import Network
from panelwright.faults import fault_list, kinds, not_listed
from panelwright.faults.fault_list import LISTERS

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").rglob("*.panel"))
WELL_PUMP = next(path for path in EXAMPLES if path.stem == "well-pump")


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_sentence_puts_in_the_fault_it_names(path: Path) -> None:
    """Read back by the reader it is the same fault, and the network takes it."""
    wiring = pw.wire(pw.read_file(path).circuit)
    network = Network(wiring)
    for one in fault_list(wiring):
        steps, problems = pw.read_steps(f"fault {one.words}", wiring.circuit)
        injected = inject(wiring.circuit, one.fault)

        assert [] == list(problems), one.words
        assert [one.fault] == [step.fault for step in steps if isinstance(step, Inject)], one.words
        assert isinstance(injected, Injected), one.words
        network.edited(injected.edits)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_sentence_may_stand_in_a_trial_of_the_file(path: Path) -> None:
    """As the how-to promises: what the list says, after the word fault, in the file as it was written."""
    text = path.read_text(encoding="utf-8")
    listed = fault_list(pw.read(text).circuit)
    reading = pw.read("\n".join([text, 'trial "All of them"', *(f"  fault {one.words}" for one in listed)]))

    assert [] == [problem.message for problem in reading.problems if problem.severity == "mistake"]
    assert [one.fault for one in listed] == [s.fault for s in reading.circuit.trials[-1].steps if isinstance(s, Inject)]


def test_the_examples_have_every_kind() -> None:
    """No kind is only on paper."""
    met = {one.kind for path in EXAMPLES for one in fault_list(pw.read_file(path).circuit)}

    assert set(kinds()) == met == set(LISTERS)


def test_the_well_pump_has_what_one_counts_by_hand() -> None:
    """11 wires on 17 terminals, 5 nets off earth, 5 contacts, one coil, two lamps, two buttons."""
    found = Counter(one.kind for one in fault_list(pw.read_file(WELL_PUMP).circuit))
    counted = {
        "wire-open": 11, "conductor-earthed": 5, "contact-welded": 5, "contact-open": 5, "coil-open": 1,
        "coil-turns": 1, "coil-shorted": 1, "lamp-out": 2, "lamp-shorted": 2, "button-stuck-in": 2,
        "button-stuck-out": 2, "stuck-in": 1, "stuck-out": 1, "supply-low": 1, "supply-high": 1, "supply-lost": 1,
        "hold-in-ahead": 1, "block-wrong": 2, "assumption": 2, "terminal-loose": 17,
    }  # fmt: skip

    assert counted == {kind: found[kind] for kind in counted}


def test_ids_are_unique_and_outlive_edits_elsewhere() -> None:
    """A new lamp elsewhere adds faults and renames none."""
    text = WELL_PUMP.read_text(encoding="utf-8")
    longer = text.replace("  K1.nc  H2 ", "  K1.no  H3\n  K1.nc  H2 ").replace(
        "devices on plate", "  H3  lamp  LED  24 V dc\n\ndevices on plate"
    )
    before = [one.id for one in fault_list(pw.read(text).circuit)]
    parts = ("coil-open:K1.coil", "button-stuck-in:S1", "lamp-out:H2.lamp", "supply-lost:G1")
    after = {one.id for one in fault_list(pw.read(longer).circuit)}

    assert len(before) == len(set(before))
    assert set(parts) <= set(before)
    assert set(parts) <= after


def test_every_kind_says_where_it_comes_from() -> None:
    """A fault of the annex or none, and figures with a source."""
    for kind in kinds().values():
        assert kind.group in ("breaks", "wired wrong", "in between")
        assert kind.annex == "none" or kind.annex.startswith("D."), kind.name
        assert bool(kind.values) == bool(kind.figures), kind.name
    assert all(one.why for one in not_listed())
