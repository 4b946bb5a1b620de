"""The wiring on paper: wires in order of work with boxes to tick, contacts, strips; and labels to cut out."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from ..circuit import Contact
from ..wiring import CAUTION, Wire, Wiring
from ..wiring.seats import seats_of
from ..wiring.strip_plan import strip_plan
from .display import Drawing
from .printed import Block, Column, Labels, Mark, Paragraph, Table, printed_pages

WIRE_LABEL_MM = (24.0, 7.0)  # width and height of a sleeve, before it is cut
DEVICE_LABEL_MM = (36.0, 10.0)


def wire_list_pages(wiring: Wiring, width: float, height: float) -> tuple[Drawing, ...]:
    """Wires, contacts and strips on pages of `width` by `height` mm; none when nothing is to be wired."""
    if not wiring.wires:
        return ()
    blocks: list[Block] = [
        Paragraph(" ".join(CAUTION)),
        Paragraph("Wires, in order of work", "title", heading=True),
        _wires(wiring),
    ]
    blocks += _contacts(wiring)
    blocks += _strips(wiring)
    blocks += [Paragraph(sentence) for sentence in wiring.told]
    return printed_pages("Wires, contacts and strips", blocks, width, height)


def _wires(wiring: Wiring) -> Table:
    columns = (
        Column("laid"), Column("checked"), Column("", anchor="end"), Column("wire", look="number"),
        Column("from", share=2), Column("to", share=2), Column("size, colour, core", share=3),
    )  # fmt: skip
    count = iter(range(1, len(wiring.wires) + 1))
    rows: list[tuple[str | Mark, ...] | str] = []
    for stage, wires in groupby(wiring.wires, key=lambda wire: wire.stage):
        rows.append(stage)
        rows += [(Mark.TICK, Mark.TICK, str(next(count)), _number(wire), *wire.ends, _material(wire)) for wire in wires]
    return Table(columns, tuple(rows))


def _number(wire: Wire) -> str:
    one, other = wire.labels
    return one if one == other else f"{one} / {other}"


def _material(wire: Wire) -> str:
    return "  ".join(filter(None, (wire.size.text if wire.size else "", wire.colour, wire.core_told)))


def _contacts(wiring: Wiring) -> Iterator[Block]:
    rungs, elements = wiring.circuit.rungs, wiring.circuit.elements
    rows = tuple(
        (seat.use.device, seat.use.part, "-".join(seat.use.terminals or ()), str(seat.rung), rungs[seat.rung - 1].text)
        for seat in seats_of(wiring.circuit)
        if isinstance(elements.get(seat.use.element, (None, None))[1], Contact)
    )
    if rows:
        yield Paragraph("Contacts", "title", heading=True)
        columns = (
            Column("device", look="tag"), Column("as drawn"), Column("terminals"), Column("rung", anchor="end"),
            Column("function", share=1),
        )  # fmt: skip
        yield Table(columns, rows)


def _strips(wiring: Wiring) -> Iterator[Block]:
    columns = (
        Column("inner side", share=2), Column("terminal", look="tag"), Column("wire", look="number"),
        Column("outer side", share=2), Column("cable and core", share=1.5),
    )  # fmt: skip
    for tag, terminals in strip_plan(wiring).items():
        yield Paragraph(f"Strip {tag}", "title", heading=True)
        rows = tuple(
            (", ".join(t.inner), t.terminal, t.number, ", ".join(t.outer), ", ".join(t.cores)) for t in terminals
        )
        yield Table(columns, rows)


def label_pages(wiring: Wiring, width: float, height: float) -> tuple[Drawing, ...]:
    """Labels to cut out, on pages of `width` by `height` mm: both ends of each wire in order of work, then devices."""
    if not wiring.wires:
        return ()
    wires = tuple(label for wire in wiring.wires for label in wire.labels)
    tags = tuple(device.tag for device in wiring.circuit.devices if device.terminals)
    blocks = (
        Paragraph("Wires: two labels for each, in order of work", heading=True),
        Labels(wires, *WIRE_LABEL_MM, "number"),
        Paragraph("Devices", heading=True),
        Labels(tags, *DEVICE_LABEL_MM, "device-tag"),
    )
    return printed_pages("Labels to cut out", blocks, width, height)
