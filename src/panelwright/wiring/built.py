"""What is built stays: contacts and wires of an earlier wiring in a circuit that has changed since."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from typing import cast

from ..circuit import Circuit, Contact, Device, Item, Parallel, Rung, Series, Use, uses_in
from .parts import with_uses
from .plan import Wiring
from .tree import Joint


def kept_wires(built: Wiring | None) -> frozenset[Joint]:
    """Conductors that are laid already, ends in order of text."""
    if built is None:
        return frozenset()
    return frozenset((min(w.ends), max(w.ends)) for w in built.wires)


def as_built(circuit: Circuit, built: Wiring) -> Circuit:
    """The circuit with its open contacts pinned as they were allotted before.

    Rungs that say the same as before, contacts in series in any order, are taken over as they are; of the others each
    use takes the contact of its like in the rung that stood there.
    """
    before, now = built.circuit.rungs, circuit.rungs
    matcher = SequenceMatcher(None, [_said(r) for r in before], [_said(r) for r in now], autojunk=False)
    rungs: list[Rung] = []
    for tag, start, end, first, last in matcher.get_opcodes():
        if tag == "equal":
            rungs += [_taken_over(old, new) for old, new in zip(before[start:end], now[first:last], strict=True)]
            continue
        replaced = [*before[start:end], *[None] * (last - first)]
        rungs += [_pinned_alike(new, old) for new, old in zip(now[first:last], replaced, strict=False)]
    devices = tuple(_with_blocks(device, built.circuit.by_tag.get(device.tag)) for device in circuit.devices)
    return _where_possible(replace(circuit, rungs=tuple(rungs), devices=devices))


def _with_blocks(device: Device, built: Device | None) -> Device:
    """A device that grows, with the contact blocks that were put on it already."""
    if built is None or not device.grows:
        return device
    marks = {*device.terminals}
    added = tuple(c for c in built.contacts if not {c.a, c.b} & marks and not c.a.startswith("?"))
    more = tuple(mark for c in added for mark in (c.a, c.b))
    return replace(device, parts=(*device.parts, *added), terminals=(*device.terminals, *more))


def _said(rung: Rung) -> tuple[object, ...]:
    """A rung without what allotting adds; a stretch of contacts in series in one order whatever the order was."""
    return rung.start, rung.end, _body_said(rung.body)


def _body_said(item: Item) -> object:
    if isinstance(item, Parallel):
        return ("parallel", *(_body_said(branch) for branch in item.branches))
    if not isinstance(item, Series):
        return replace(item, terminals=None, name="") if isinstance(item, Use) and item.form else item
    said: list[object] = []
    stretch: list[tuple[str, str]] = []
    for inner in item.items:
        if isinstance(inner, Use) and inner.form:
            stretch.append((inner.device, inner.part))
            continue
        said += [tuple(sorted(stretch)), _plain(inner)]
        stretch = []
    return (*said, tuple(sorted(stretch)))


def _plain(item: Item) -> object:
    return (item.device, item.part) if isinstance(item, Use) else _body_said(item)


def _taken_over(old: Rung, new: Rung) -> Rung:
    """The old order and terminals with the places in the text of the new rung."""
    now: dict[tuple[str, str], list[Use]] = {}
    for use in uses_in(new.body):
        now.setdefault((use.device, use.part), []).append(use)
    stream = (replace(use, span=now[use.device, use.part].pop(0).span) for use in uses_in(old.body))
    return replace(new, body=cast(Series, with_uses(old.body, stream)))


def _pinned_alike(rung: Rung, old: Rung | None) -> Rung:
    """Give each open contact the terminals that its like had, the first like first."""
    if old is None:
        return rung
    had: dict[tuple[str, str], list[Use]] = {}
    for use in uses_in(old.body):
        had.setdefault((use.device, use.part), []).append(use)

    def pinned() -> Iterator[Use]:
        for use in uses_in(rung.body):
            likes = had.get((use.device, use.part), []) if use.form and use.terminals is None else []
            yield replace(use, terminals=likes[0].terminals, name=likes.pop(0).name) if likes else use

    return replace(rung, body=cast(Series, with_uses(rung.body, pinned())))


def _where_possible(circuit: Circuit) -> Circuit:
    """Open again what is no longer possible: a contact that is gone, or one that two different uses would have."""
    holders: dict[str, _Holder] = {}

    def checked(rung: Rung) -> Iterator[Use]:
        for use in uses_in(rung.body):
            if not use.form or use.terminals is None:
                yield use
                continue
            part = circuit.elements[use.element][1] if use.element in circuit.elements else None
            holder = holders.setdefault(use.element, _Holder(use.label, use.form))
            same = isinstance(part, Contact) and part.form == use.form and holder.admits(use)
            yield use if same else replace(use, terminals=None, name="")

    return replace(
        circuit, rungs=tuple(replace(r, body=cast(Series, with_uses(r.body, checked(r)))) for r in circuit.rungs)
    )


@dataclass(slots=True)
class _Holder:
    """Who has a contact: all uses of one label, or a single use without one."""

    label: str
    form: str
    count: int = 0

    def admits(self, use: Use) -> bool:
        self.count += 1
        return self.count == 1 or (bool(use.label) and use.label == self.label)
