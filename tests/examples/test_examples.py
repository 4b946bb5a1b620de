"""Every example is read without a mistake, says where it comes from, and does what its trials expect.

The published circuits of `examples/circuits` are the outside check of the engine: their trials hold every statement
of behaviour and every symptom of a fault that their sources make (named in the notes of each file).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from panelwright.behaviour import try_trial, try_trials
from panelwright.checks import check
from panelwright.circuit import Circuit, Contact, uses_in
from panelwright.electrics import Network
from panelwright.language import Reading, read, write
from panelwright.wiring import wire

ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "examples").rglob("*.panel"))
each_file = pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)

# How many statements of behaviour and symptoms of faults were collected for each published circuit; each of them has
# a trial of its own, so a file has at least as many trials.
STATEMENTS = {
    "c01": 4, "c02": 4, "c03": 5, "c04": 4, "c05": 3, "c06": 5, "c07": 4, "c08": 6, "c09": 4, "c10": 3,
    "c11": 7, "c12": 4, "c13": 6, "c14": 4, "c15": 6, "c16": 5, "c17": 5, "c18": 7, "c19": 8, "c20": 6,
    "c21": 6, "c22": 4, "c23": 5, "c24": 6, "c25": 6, "c26": 4, "c27": 6, "c28": 5, "c29": 9, "c30": 5,
    "c31": 10, "c32": 7, "c33": 7, "c34": 8, "c35": 6, "c36": 4, "c37": 7,
}  # fmt: skip

# Files that teach a mistake, with the mistakes that `check` has to find in them; no other file may have one.
WRONG_ON_PURPOSE = {
    "c01-bench-lamp": ["PW307"],  # switch on the earthed side
    "c07-hoist-no-interlock": ["PW313"],  # nothing keeps both contactors from being in
    "c25-start-on-earthed-side": ["PW307"],  # start button behind the coil
}


@cache
def reading(path: Path) -> Reading:
    """The file, read once for all tests."""
    return read(path.read_text(encoding="utf-8"), name=path.name)


@each_file
def test_is_read_without_a_mistake(path: Path) -> None:
    """Not even a remark."""
    problems = [f"{problem.span}: {problem.message}" for problem in reading(path).problems]

    assert problems == []


@each_file
def test_is_in_canonical_layout(path: Path) -> None:
    """What `tidy` would write is what stands in the file."""
    assert path.read_text(encoding="utf-8") == write(reading(path).document)


@each_file
def test_every_trial_passes(path: Path) -> None:
    """Each trial of the file sees what it expects, and nothing that it does not."""
    tried = try_trials(wire(reading(path).circuit))
    failed = [result.trial.name for result in tried if not result.passed]

    assert failed == []


@each_file
def test_has_the_mistakes_that_it_teaches_and_no_others(path: Path) -> None:
    """What `check` calls a mistake; warnings and notes are left to the reader."""
    found = [problem.code for problem in check(reading(path).circuit) if problem.severity == "mistake"]

    assert found == WRONG_ON_PURPOSE.get(path.stem, [])


def test_the_well_pump_takes_eleven_wires() -> None:
    """Two lamps on one change-over and a seal-in contact on one 8-blade base."""
    wiring = wire(reading(ROOT / "examples" / "orchard" / "well-pump.panel").circuit)

    assert len(wiring.wires) == 11


@each_file
def test_says_where_it_comes_from(path: Path) -> None:
    """A source, be it only common practice."""
    assert [note for note in reading(path).circuit.notes if note.kind == "source" and note.text]


@each_file
def test_promises_something(path: Path) -> None:
    """There is something to prove in every file."""
    assert [sentence for sentence in reading(path).circuit.promises if sentence.form != "waive"]


def contacts_on_rungs(circuit: Circuit) -> Iterator[str]:
    """Element ids of the make and break contacts that the rungs of an allotted circuit use."""
    for element in dict.fromkeys(use.element for rung in circuit.rungs for use in uses_in(rung.body)):
        _, part = circuit.elements[element]
        if isinstance(part, Contact) and part.form in ("no", "nc"):
            yield element


def with_contact_flipped(circuit: Circuit, element: str) -> Circuit:
    """The same circuit with a break contact where the drawing shows a make contact, or the reverse."""
    device, part = circuit.elements[element]
    assert isinstance(part, Contact)
    flipped = replace(part, form="nc" if part.form == "no" else "no")
    changed = replace(device, parts=tuple(flipped if one is part else one for one in device.parts))
    return replace(circuit, devices=tuple(changed if one is device else one for one in circuit.devices))


def test_the_trials_notice_a_wrong_contact_form() -> None:
    """A make contact in the place of a break contact, or the reverse, makes a trial fail nearly everywhere."""
    noticed, unnoticed = 0, []
    for path in FILES:
        circuit = wire(reading(path).circuit).circuit
        for element in contacts_on_rungs(circuit):
            network = Network(with_contact_flipped(circuit, element))
            if all(try_trial(network, trial).passed for trial in circuit.trials):
                unnoticed.append(f"{path.stem} {element}")
            else:
                noticed += 1

    assert noticed >= 240
    assert noticed >= 0.9 * (noticed + len(unnoticed)), unnoticed


@pytest.mark.parametrize("number", sorted(STATEMENTS))
def test_every_published_statement_has_a_trial(number: str) -> None:
    """Exactly one file for each published circuit, with a trial for each statement of its source."""
    (path,) = (ROOT / "examples" / "circuits").glob(f"{number}-*.panel")

    assert len(reading(path).circuit.trials) >= STATEMENTS[number]


def test_the_table_of_examples_is_complete() -> None:
    """The page lists every file with its title and number of trials."""
    page = (ROOT / "docs" / "look-up" / "examples.md").read_text(encoding="utf-8")
    rows = {match[1]: match[0] for match in re.finditer(r"^\| \[[^]]*\]\(\.\./\.\./examples/([^)]*)\).*$", page, re.M)}

    assert rows.keys() == {str(path.relative_to(ROOT / "examples")) for path in FILES}
    for path in FILES:
        row = rows[str(path.relative_to(ROOT / "examples"))]
        circuit = reading(path).circuit
        assert f"| {circuit.heading.title} |" in row
        assert f"| {len(circuit.trials)} |" in row
