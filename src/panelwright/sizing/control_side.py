"""The control side of a panel: every control circuit with its supply, protection, volts, contacts and suppressors."""

from __future__ import annotations

from collections.abc import Iterator

from .answers import Answer, Part
from .contacts import contact_answers
from .control import protection_answers
from .control_circuits import ControlCircuit, control_circuits
from .dc_supplies import dc_supply_answers
from .job import Job
from .long_lines import long_line_answers
from .outputs import output_answers
from .rung_volts import rung_answers
from .suppressors import suppressor_answers
from .transformer_protection import protection_of_transformer
from .transformers import transformer_answers


def control_parts(job: Job) -> tuple[Part, ...]:
    """One part for each control circuit, in file order."""
    return tuple(Part(circuit.name, tuple(_answers(circuit))) for circuit in control_circuits(job))


def _answers(circuit: ControlCircuit) -> Iterator[Answer]:
    if circuit.device.kind in ("control transformer", "autotransformer"):
        yield from transformer_answers(circuit)
        yield from protection_of_transformer(circuit)
    elif circuit.is_dc and circuit.device.kind == "dc supply":
        yield from dc_supply_answers(circuit)
    yield from protection_answers(circuit)
    yield from rung_answers(circuit)
    yield from long_line_answers(circuit)
    yield from contact_answers(circuit)
    yield from output_answers(circuit)
    yield from suppressor_answers(circuit)
