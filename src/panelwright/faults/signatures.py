"""What a promise can know of a panel, as a short word: two panels with the same word keep the same promises.

A wire that is open at one end and a contact that does not close there are often the same panel to a promise. It is
then proved once.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import blake2b
from typing import TYPE_CHECKING

import numpy as np

from ..behaviour.proof.asking import atoms_of, motions, tags_of
from ..behaviour.proof.assuming import tags_assumed
from ..behaviour.proof.half_fed import TooManyPositions, live_literal
from ..behaviour.proof.panel import Panel
from ..circuit import Device, Is, Sentence
from ..electrics.gates import FALSE, INPUT, Gates

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Words = NDArray[np.uint64]

MOST_INPUTS = 14  # up to so many, every setting of the inputs is compared; above, the gates one by one
EVERYTHING = ("everything rests after", "no short circuit", "no buzzing", "full volts")


def devices_of(panel: Panel, promise: Sentence) -> set[str]:
    """The devices that a promise depends on, through coils, lamps, motors and assumptions."""
    tags = tags_of(panel, tuple(atoms_of(promise)))
    if promise.subject or promise.form == "nothing starts":
        tags |= tags_of(panel, motions(panel))
    if promise.form in EVERYTHING:
        tags |= {device.tag for device in panel.circuit.devices}
    return tags_assumed(panel, panel.circuit.assumptions, tags)


@dataclass(frozen=True, slots=True)
class Look:
    """What a promise can see of a panel: `literals` with their `names`; `coils`: places in them of the full and the
    possible volts of every coil.
    """

    names: tuple[str, ...]
    literals: tuple[int, ...]
    coils: tuple[tuple[int, int], ...]


def look_at(panel: Panel, tags: set[str], promise: Sentence) -> Look:
    """What a promise can see of a panel of which some devices matter to it."""
    subjects = {state.subject for state in atoms_of(promise)}
    found: dict[str, int] = {}
    coils: list[tuple[int, int]] = []
    for device in panel.circuit.devices:
        if device.tag in tags | subjects:
            found |= _of_device(panel, device)
            driving = [f"{device.tag}.{load.name}" for load in device.loads if load.drives]
            names = list(found)
            coils += [(names.index(f"{one} full"), names.index(f"{one} may")) for one in driving]
    found |= _of_promise(panel, promise)
    forms = tuple(f"{tag}{arm} {sorted(f)}" for (tag, arm), f in sorted(panel.forms.items()) if tag in tags)
    return Look((*found, *forms), tuple(found.values()), tuple(coils))


def _of_device(panel: Panel, device: Device) -> dict[str, int]:
    """Loads, motors and supplies of one device."""
    program, found = panel.program, {}
    for load in device.loads:
        element = f"{device.tag}.{load.name}"
        found[f"{element} full"], found[f"{element} may"] = program.full[element], program.may[element]
    for motor in device.motors:
        element = f"{device.tag}.{motor.name}"
        found[f"{element} forward"] = program.forward.get(element, FALSE)
        found[f"{element} reverse"] = program.reverse.get(element, FALSE)
    if device.tag in program.live:
        found[f"{device.tag} live"] = program.live[device.tag]
    return found


def _of_promise(panel: Panel, promise: Sentence) -> dict[str, int]:
    found: dict[str, int] = {}
    if promise.form == "no short circuit":
        found["short"] = panel.program.short
    for state in _points((promise, *panel.circuit.assumptions)):
        try:
            found[f"{state.subject} live"] = live_literal(panel, state.subject)
        except TooManyPositions:
            found[f"{state.subject} live or not"] = FALSE
    return found


def signature(panel: Panel, promise: Sentence) -> tuple[str, bool]:
    """The word, and whether some coil may get part of its volts: then volts, which no word tells, may decide."""
    tags = devices_of(panel, promise)
    look = look_at(panel, tags, promise)
    word = blake2b(digest_size=16)
    stuck = (f"{tag}={at}" for tag, at in sorted(panel.stuck.items()) if tag in tags)
    for text in (*look.names, *sorted(tags), *stuck):
        word.update(text.encode() + b"\0")
    word.update(str([s.text for s in panel.circuit.assumptions]).encode())
    word.update(_function(panel.program.gates, list(look.literals)))
    return word.hexdigest(), any(look.literals[full] != look.literals[may] for full, may in look.coils)


def _points(sentences: Iterable[Sentence]) -> list[Is]:
    states = (state for sentence in sentences for state in atoms_of(sentence))
    return [state for state in states if state.state.removeprefix("not ") in ("live", "dead")]


def _function(gates: Gates, literals: list[int]) -> bytes:
    """The literals as a function of the inputs they depend on."""
    inputs = sorted(gates.inputs_of(literals))
    if len(inputs) > MOST_INPUTS:
        return b"".join((*(name.encode() + b"\0" for name in inputs), _gate_by_gate(gates, literals)))
    rows = np.zeros((len(gates.inputs), max(1, 2 ** len(inputs) // 64)), np.uint64)
    for index, name in enumerate(inputs):
        rows[gates.inputs.index(name)] = _counting(index, rows.shape[1])
    return b"".join((*(name.encode() + b"\0" for name in inputs), gates.words(rows, literals).tobytes()))


def _counting(index: int, words: int) -> Words:
    """Bit `index` of the numbers 0, 1, 2 ..., 64 in a word."""
    if index >= 6:
        return np.where(np.arange(words) >> (index - 6) & 1, ~np.uint64(0), np.uint64(0)).astype(np.uint64)
    pattern = sum(1 << lane for lane in range(64) if lane >> index & 1)
    return np.full(words, pattern, np.uint64)


def _gate_by_gate(gates: Gates, literals: list[int]) -> bytes:
    """The gates below some literals, numbered as they are met: equal for equal gates, whatever else there is."""
    names = dict(zip(gates.input_nodes, gates.inputs, strict=True))
    number: dict[int, int] = {0: 0}
    found: list[str] = []
    for node in sorted(gates.cone(literals)):
        number[node] = len(number)
        if gates.left[node] == INPUT:
            found.append(names[node])
        else:
            a, b = gates.left[node], gates.right[node]
            found.append(f"{number[a >> 1] * 2 + (a & 1)} {number[b >> 1] * 2 + (b & 1)}")
    found.append(str([number[lit >> 1] * 2 + (lit & 1) for lit in literals]))
    return "\n".join(found).encode()
