"""Power paths with their names looked up."""

from __future__ import annotations

from dataclasses import replace

from panelwright.circuit import (
    Device,
    Load,
    PathItem,
    PathUse,
    PowerPath,
    Problem,
    Span,
    Star,
    Swap,
    Use,
)

from .headings import Section
from .names import Names
from .uses import poles_of, resolved

RawPath = tuple[tuple[str, str, Span], ...]


def path_of(items: RawPath, text: str, section: Section, span: Span, names: Names) -> PowerPath | None:
    """A power path; every wire of the path side by side."""
    todo = list(items)
    starts: tuple[str, ...]
    if (todo and todo[0][0] == "rail") or (
        todo and todo[0][0] == "use" and todo[0][1] in names.rails and todo[0][1] not in names.devices
    ):
        starts = (todo.pop(0)[1],)
    elif todo and todo[0][0] == "point":
        starts = _point_wires(todo.pop(0), len(section.names), names)
    elif todo and todo[0][0] == "use" and _leads(todo[0][1], names) and len(todo) > 1:
        starts = ()
    else:
        starts = section.names
    count = len(starts) or len(_leads(todo[0][1], names))
    ends: tuple[str, ...] = ()
    if todo and todo[-1][0] == "point":
        ends = _point_wires(todo.pop(), count, names)
    known = True
    for start in starts:
        known = (start.startswith("@") or names.rail(start, span)) and known
    out: list[PathItem] = []
    for index, entry in enumerate(todo):
        last = index == len(todo) - 1 and not ends
        item = _path_item(entry, count, section, names, first=index == 0 and not starts, last=last)
        known = item is not None and known
        if item is not None:
            out.append(item)
    return PowerPath(starts, tuple(out), ends, text, section.names, span) if known else None


def _point_wires(entry: tuple[str, str, Span], count: int, names: Names) -> tuple[str, ...]:
    name = entry[1][1:]
    wires = names.point_wires.setdefault(name, count)
    if wires == 1:
        names.point(name, entry[2])
        return (f"@{name}",)
    for wire in range(1, wires + 1):
        names.point(f"{name}.{wire}", entry[2])
    return tuple(f"@{name}.{wire}" for wire in range(1, wires + 1))


def _leads(written: str, names: Names) -> list[str]:
    tag, _, part = written.partition(".")
    device = names.devices.get(tag)
    marks = part.split("-")
    return marks if device is not None and part and all(mark in device.terminals for mark in marks) else []


def _path_item(
    entry: tuple[str, str, Span], count: int, section: Section, names: Names, *, first: bool, last: bool
) -> PathItem | None:
    kind, written, span = entry
    if kind == "star":
        return Star()
    if kind == "swap":
        return _swap(written, span, section, names)
    if kind in ("point", "rail"):
        names.problems.append(_inside_path(written, span))
        return None
    tag, _, part = written.partition(".")
    device = names.device(tag, span)
    if device is None:
        return None
    pairs, parts = _pairs(written, count, names, first=first, last=last)
    if pairs is None:
        names.problems.append(_wrong_poles(written, count, device, span))
        return None
    return PathUse(tag, part, pairs, parts, span)


def _pairs(
    written: str, count: int, names: Names, *, first: bool, last: bool
) -> tuple[tuple[tuple[str, str], ...] | None, tuple[str, ...]]:
    tag, _, part = written.partition(".")
    device = names.devices[tag]
    leads = _leads(written, names)
    if leads and device.kind == "terminal strip":
        return (tuple((m, m) for m in leads) if len(leads) == count else None), ()
    if leads:
        shape = tuple(("", m) if first and not last else (m, "") for m in leads)
        return (shape if len(leads) == count else None), tuple(m.name for m in device.motors[:1])
    if part in ("", "poles"):
        return _whole_device(written, count, names)
    load = next((p for p in device.loads if p.name == part), None)
    if load is not None and count == 2:
        return ((load.a, ""), (load.b, "")), (load.name,)
    use = resolved(Use(tag, part), Names(devices=names.devices))
    if isinstance(use, Use) and use.terminals and count == 1:
        return (use.terminals,), (use.name,)
    return None, ()


def _whole_device(written: str, count: int, names: Names) -> tuple[tuple[tuple[str, str], ...] | None, tuple[str, ...]]:
    tag, _, part = written.partition(".")
    device = names.devices[tag]
    if device.motors and not part:
        motor = device.motors[0]
        ends = tuple((lead, "") for lead in motor.leads[:count])
        return (ends if len(ends) == count else None), (motor.name,)
    poles = poles_of(device)
    if len(poles) >= count:
        return tuple((p.a, p.b) for p in poles[:count]), tuple(p.name for p in poles[:count])
    lone = [p for p in device.loads if p.sort != "primary"]
    if not part and len(lone) == 1 and count == 2:
        return ((lone[0].a, ""), (lone[0].b, "")), (lone[0].name,)
    return None, ()


def _swap(written: str, span: Span, section: Section, names: Names) -> Swap | None:
    one, other = written.split()
    if one in section.names and other in section.names:
        return Swap(section.names.index(one), section.names.index(other))
    names.problems.append(
        Problem(
            "PW113", f"swap {written}: this section has the rails {', '.join(section.names)}",
            "only wires of the path can change places.", f"write swap {section.names[0]} {section.names[-1]}.", span,
        )
    )  # fmt: skip
    return None


def _inside_path(written: str, span: Span) -> Problem:
    return Problem(
        "PW106", f"{written} stands inside a power path", "points and rails stand only at the ends of a path.",
        f"end one line with {written} and start another with it.", span,
    )  # fmt: skip


def _wrong_poles(written: str, count: int, device: Device, span: Span) -> Problem:
    tag, has = device.tag, len(poles_of(device))
    if device.motors:
        leads = device.motors[0].leads
        why = f"every wire of the path needs a terminal; {tag} has {', '.join(device.terminals)}."
        mend = f"write {tag} alone, or as many of its terminals as there are wires, {tag}.{'-'.join(leads[:count])}."
    else:
        poles = "no poles" if not has else "1 pole" if has == 1 else f"{has} poles side by side"
        why = f"every wire of the path needs a pole; {tag} has {poles}."
        mend = f"give {tag} {count} poles, or write its terminals, {tag}.1-2-3 for three wires."
    wires = "1 wire" if count == 1 else f"{count} wires"
    return Problem("PW110", f"{written} does not fit a path of {wires}", why, mend, span)


def with_primaries(names: Names, paths: list[PowerPath]) -> None:
    """Supplies whose primary is wired live from it."""
    fed: dict[str, Load] = {}
    for tag in names.supplies:
        for load in names.devices[tag].loads:
            if load.sort == "primary":
                fed[tag] = load
    if not fed:
        return
    used = {use.device for path in paths for use in path.items if isinstance(use, PathUse) and use.names}
    used |= {tag for tag, _ in names.written}
    for tag, primary in fed.items():
        device = names.devices[tag]
        if tag in used:
            parts = tuple(replace(p, fed_by=primary.name) if p in device.sources else p for p in device.parts)
            names.devices[tag] = replace(device, parts=parts)
