"""From a kind and the facts said to a device made of parts."""

from __future__ import annotations

from ..circuit import Base, Device, Fact, Load, Mechanism, Motor, Part, Source
from . import limits, selectors, troubles
from .facts import Said, Scanner
from .making import Making
from .parts import PARTS
from .shelf import BaseRow, WordRow


def build(scanner: Scanner, said: dict[str, Said], words: list[WordRow]) -> Device:
    """Put the device together; what cannot be built is reported and left out."""
    making = Making(scanner, said, words)
    limits.check(making)
    parts = _parts(making)
    line, kind = scanner.line, scanner.kind
    base = _base(making.base) if making.base else None
    span = scanner.span(0, len(scanner.words))
    return Device(
        line.tag, kind.name, line.place, line.text, _mechanism(making), tuple(parts), _terminals(making, parts),
        _facts(making), _symbol(making), _colour(making), base, kind.grows, kind.conductors_per_terminal,
        _watts(making, parts), _release_factor(making), span,
    )  # fmt: skip


def _parts(making: Making) -> list[Part]:
    """Every part of the kind whose condition holds, no name twice."""
    parts: list[Part] = []
    for row in making.kind.parts:
        if (not row.when or making.has(row.when)) and not (row.unless and making.has(row.unless)):
            parts += PARTS[row.part](making, row)
    names: set[str] = set()
    kept = []
    for part in parts:
        if part.name in names:
            making.tell(troubles.mark_taken(making.tag, part.name, making.scanner.span(0, len(making.scanner.words))))
            continue
        names.add(part.name)
        kept.append(part)
    return kept


def _mechanism(making: Making) -> Mechanism:
    """How it moves: the kind's way, a word's way ("maintained"), the times said."""
    sort = next((word.mechanism for word in reversed(making.words) if word.mechanism), making.kind.mechanism)
    alternating = making.rating("coil").current == "ac"
    tuned = "_ac" if alternating and "operate_ac_s" in making.figures else ""
    delay = making.said.get("delay")
    delay_s = making.value("delay", "delay_s")
    spread = delay.other if delay else None
    tolerance = making.figure("delay_tolerance") * delay_s
    if spread is not None:
        tolerance = spread.value if spread.unit == "s" else spread.value / 100 * delay_s
    positions, start = selectors.stands(making)
    if "returns to" in making.said:
        sort = "spring selector"
    exact = "pulls in" in making.said and "drops out" in making.said
    return Mechanism(
        sort,
        operate_s=making.value("pulls in", f"operate{tuned}_s"),
        release_s=making.value("drops out", f"release{tuned}_s"),
        travel_s=making.value("travels", "travel_s"),
        tolerance=0.0 if exact else making.figure("tolerance"),
        delay_s=delay_s,
        delay_tolerance_s=tolerance,
        second_delay_s=making.value("second delay", "second_delay_s"),
        positions=positions,
        start=start,
    )


def _terminals(making: Making, parts: list[Part]) -> tuple[str, ...]:
    """Marks in the order of the parts, then those of a base or of the kind that no part uses."""
    marks: dict[str, None] = {}
    for part in parts:
        ends: tuple[str, ...]
        if isinstance(part, Motor):
            ends = part.leads
        elif isinstance(part, Source):
            ends = part.terminals
        else:
            ends = (part.a, part.b)
        marks.update(dict.fromkeys(ends))
    if making.base is not None:
        marks.update(dict.fromkeys(making.base.pins))
    if "terminals" in making.said:
        marks.update(dict.fromkeys(str(at) for at in range(1, making.count("terminals", 1) + 1)))
    marks.update(dict.fromkeys(making.kind.extra_marks))
    return tuple(marks)


def _facts(making: Making) -> tuple[Fact, ...]:
    """What the line says, in its order."""
    said = [(one.span, Fact(name, one.text, one.quantity, one.other)) for name, one in making.said.items()]
    found = [fact for _, fact in sorted(said, key=lambda one: one[0])]
    return (*found, *(Fact(word.name, word.name) for word in making.words))


def _symbol(making: Making) -> str:
    return next((word.symbol for word in reversed(making.words) if word.symbol), making.kind.symbol or "box")


def _colour(making: Making) -> str:
    said = making.said.get("colour")
    return said.names[0] if said else ""


def _base(row: BaseRow) -> Base:
    pins = tuple((mark, float(column), float(at)) for mark, (column, at) in row.pins.items())
    return Base(row.name, pins, row.shape)


def _watts(making: Making, parts: list[Part]) -> float:
    """Heat given off in rated service: loads, and the losses of a supply."""
    if (loss := making.figure("loss")) > 0:
        return loss * (making.value("va") or making.value("volts") * making.value("amps"))
    heat = 0.0
    for part in parts:
        lasting = isinstance(part, Load) and part.sort != "primary" and part.drives in ("", "coil")
        if isinstance(part, Load) and lasting and part.ohms:
            heat += part.rated_v**2 * part.ohms / (part.ohms**2 + part.reactance_ohms**2)
    return round(heat, 3)


def _release_factor(making: Making) -> float:
    """How much later it lets go; 1 without a suppressor, or with one that may not stand there."""
    said = making.said.get("suppressor")
    if said is None:
        return 1.0
    row = making.scanner.shelf.suppressors[said.names[0]]
    return row.release_factor if row.current in ("either", making.rating("coil").current) else 1.0
