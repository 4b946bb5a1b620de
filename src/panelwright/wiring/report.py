"""The wiring as a plain text to print and tick off."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from ..circuit import Contact
from .measures import gap, measures
from .plan import Free, Wire, Wiring
from .seats import seats_of
from .strip_plan import strip_plan

CAUTION = (
    "Isolate, lock and prove dead before touching a conductor. Local codes and a licensed person decide;",
    "this list follows the drawing and knows nothing of what else is in the panel.",
)


def report(wiring: Wiring) -> str:
    """Contacts, wires with boxes to tick in order of work, free contacts, shortages and what else there is to say."""
    heading = wiring.circuit.heading
    title = ", ".join(filter(None, (heading.title, heading.revision and f"revision {heading.revision}", heading.date)))
    parts = (
        [f"Wiring: {title}" if title else "Wiring", *CAUTION],
        list(_shortages(wiring)),
        list(_contacts(wiring)),
        list(_wires(wiring)),
        list(_strips(wiring)),
        list(_free(wiring)),
        list(_told(wiring)),
    )
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def _table(rows: Sequence[Sequence[str]], indent: str = "  ") -> Iterator[str]:
    """Columns lined up with two blanks between."""
    if rows:
        widths = [max(len(row[n]) for row in rows) for n in range(len(rows[0]))]
        for row in rows:
            yield indent + "  ".join(text.ljust(width) for text, width in zip(row, widths, strict=True)).rstrip()


def _shortages(wiring: Wiring) -> Iterator[str]:
    if wiring.shortages:
        yield "CONTACTS THAT ARE NOT THERE (shown with the marks ?1, ?2)"
        for short in wiring.shortages:
            yield (
                f"  {short.device} needs {short.needed} {short.form} and has {short.has}: "
                "add a contact block, take a device with more contacts, or add a relay beside it."
            )


def _contacts(wiring: Wiring) -> Iterator[str]:
    yield "CONTACTS"
    rungs = wiring.circuit.rungs
    rows = [
        (s.use.device, s.use.part, "-".join(s.use.terminals or ()), f"rung {s.rung}", rungs[s.rung - 1].text)
        for s in seats_of(wiring.circuit)
        if isinstance(wiring.circuit.elements.get(s.use.element, (None, None))[1], Contact)
    ]
    yield from _table(rows)
    yield f"  {wiring.poles_used} poles in use; {gap(wiring.poles_used, wiring.poles_bound)}."


def _wires(wiring: Wiring) -> Iterator[str]:
    measured = measures(wiring)
    yield f"WIRES, in order of work ({len(wiring.wires)})   boxes: laid, checked"
    row_of = dict(zip((w.id for w in wiring.wires), _wire_rows(wiring.wires), strict=True))
    for stage, wires in ((stage, list(some)) for stage, some in groupby(wiring.wires, key=lambda w: w.stage)):
        yield f"  {stage} ({len(wires)})"
        yield from (f"    {row_of[wire.id]}" for wire in wires)
    yield f"  {measured.conductors} conductors; {gap(measured.conductors, measured.conductors_bound)}."
    if measured.between:
        yield f"  {measured.between} from place to place; {gap(measured.between, measured.between_bound)}."
    if wiring.circuit.mounts:  # without rails the places are only thought of
        yield f"  {measured.way_m:.2f} m within the places; {gap(measured.way_m, measured.way_bound_m)}."


def _wire_rows(wires: Sequence[Wire]) -> Iterator[str]:
    rows = []
    for count, wire in enumerate(wires, 1):
        number = wire.number if wire.labels[0] == wire.labels[1] else f"{wire.labels[0]} / {wire.labels[1]}"
        what = " ".join(filter(None, (wire.size.text if wire.size else "", wire.colour, wire.core_told)))
        rows.append(("[ ] [ ]", f"{count:>3}", number, f"{wire.ends[0]} - {wire.ends[1]}", what))
    return _table(rows, "")


def _strips(wiring: Wiring) -> Iterator[str]:
    for tag, terminals in strip_plan(wiring).items():
        used = [t for t in terminals if t.number]
        yield f"STRIP {tag}: inner side, terminal, outer side ({len(terminals) - len(used)} free)"
        yield from _table(
            [(", ".join(t.inner), t.terminal, t.number, ", ".join(t.outer), ", ".join(t.cores)) for t in used]
        )


def _free(wiring: Wiring) -> Iterator[str]:
    if wiring.free:
        yield "FREE CONTACTS"
        yield from _table([(tag, ", ".join(map(_one_free, left))) for tag, left in wiring.free.items()])


def _one_free(free: Free) -> str:
    return f"{free.contact} {free.form}" + (" (its common is in use)" if free.common_taken else "")


def _told(wiring: Wiring) -> Iterator[str]:
    if wiring.told:
        yield "TO KNOW"
        yield from (f"  {sentence}" for sentence in wiring.told)
