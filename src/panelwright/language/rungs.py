"""Rungs with their names looked up, and remembered for as long as nothing that they name has changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from panelwright.circuit import Device, Here, Item, Parallel, Problem, Rung, Series, Span, Use

from .headings import Section
from .lines import LINES_REMEMBERED, Line
from .names import Names
from .parsing import parse
from .plain import words_of
from .uses import resolved


@dataclass(frozen=True, slots=True)
class _Known:
    """A rung that was looked up without a problem, what it told the names, and the devices that it rested on."""

    rung: Rung | None
    found: Names
    rested_on: tuple[tuple[str, Device | None, bool], ...]

    def holds(self, names: Names) -> bool:
        devices, rails = names.devices, names.rails
        return all(devices.get(tag) is device and (tag in rails) is rail for tag, device, rail in self.rested_on)


_known: dict[tuple[Line, Section], _Known] = {}


def rung_of(line: Line, section: Section, names: Names) -> Rung | None:
    """The rung of a line; None when it cannot be told (`names` gets the problem)."""
    known = _known.get((line, section))
    if known is None or not known.holds(names):
        known = _looked_up(line, section, names)
        if not known.found.problems and not known.found.unknown and not known.found.unread:
            if len(_known) >= LINES_REMEMBERED:
                _known.clear()
            _known[line, section] = known
    names.add(known.found)
    return known.rung


def _looked_up(line: Line, section: Section, names: Names) -> _Known:
    found = Names(devices=names.devices, rails=names.rails)
    value, problem = parse("rung", line.text, line.number)
    if problem is not None:
        found.problems.append(problem)
        found.not_read(line.text)
        return _Known(None, found, ())
    body, text = value
    missing = [rail for rail in section.names if not rail.startswith("@") and rail not in names.rails]
    if missing:
        found.not_read(line.text)
        if missing[0] in names.devices and not names.devices[missing[0]].sources:
            found.problems.append(_device_as_rail(missing[0], section))
        else:
            found.rail(missing[0], section.span)
        return _Known(None, found, ())
    rung = _rung(body, text, section, words_of(line).whole, found)
    if rung is None:
        found.not_read(line.text)
    tags = dict.fromkeys((*_tags(body), *section.names))
    return _Known(rung, found, tuple((tag, names.devices.get(tag), tag in names.rails) for tag in tags))


def _tags(item: Item) -> Iterator[str]:
    """The devices that an item names."""
    if isinstance(item, Use):
        yield item.device
    elif isinstance(item, Series | Parallel):
        for inner in item.items if isinstance(item, Series) else item.branches:
            yield from _tags(inner)


def _rung(body: Series, text: str, section: Section, span: Span, names: Names) -> Rung | None:
    """The ends are the section's rails unless the line names points."""
    ends = section.names if len(section.names) == 2 else ("", "")
    start, end = ends
    items = list(body.items)
    if items and isinstance(items[0], Here):
        start = f"@{items[0].name}"
        names.point(items[0].name, items[0].span)
        items.pop(0)
    else:
        _use_end(start, section, names)
    if items and isinstance(items[-1], Here):
        end = f"@{items[-1].name}"
        names.point(items[-1].name, items[-1].span)
        items.pop()
    else:
        _use_end(end, section, names)
    looked_up = _series(Series(tuple(items)), names)
    if looked_up is None or not start or not end:
        return None
    if start == end and not looked_up.items:
        return None
    return Rung(start, end, looked_up, text, (ends[0], ends[1]), span)


def _use_end(end: str, section: Section, names: Names) -> None:
    if end.startswith("@"):
        names.point(end[1:], section.span)


def _series(series: Series, names: Names) -> Series | None:
    items = [_item(item, names) for item in series.items]
    return None if any(item is None for item in items) else Series(tuple(i for i in items if i is not None))


def _item(item: Item, names: Names) -> Item | None:
    if isinstance(item, Use):
        if item.device in names.rails and item.device not in names.devices:
            names.problems.append(_rail_inside(item))
            return None
        return resolved(item, names)
    if isinstance(item, Here):
        names.point(item.name, item.span)
        if item.span:
            names.inner_points.add(item.span)
        return item
    if isinstance(item, Parallel):
        branches = [_series(branch, names) for branch in item.branches]
        return None if any(b is None for b in branches) else Parallel(tuple(b for b in branches if b is not None))
    return _series(item, names) if isinstance(item, Series) else item


def _rail_inside(use: Use) -> Problem:
    return Problem(
        "PW106", f"the rail {use.device} stands inside a rung",
        "a rung runs from one rail to the other; a rail between would short out what stands before it.",
        'take it away, or start a new section "rungs from ... to ..." with this rail.', use.span,
    )  # fmt: skip


def _device_as_rail(tag: str, section: Section) -> Problem:
    return Problem(
        "PW104", f"{tag} is a device, not a rail", "rungs run between rails, which supplies name, or between points.",
        f"write a rail, or end a rung at a point behind {tag} and write rungs from @1 to ...", section.span,
    )  # fmt: skip
