"""From one wiring to the next: what a technician takes out, moves, puts in and labels anew."""

from __future__ import annotations

from dataclasses import dataclass

from .plan import Wire, Wiring
from .renumber import Renumbered, renumbering


@dataclass(frozen=True, slots=True)
class Moved:
    """A wire that stays under one terminal and goes to another place with its other end."""

    wire: Wire
    stays: str
    was: str
    becomes: str


@dataclass(frozen=True, slots=True)
class Changes:
    """`kept` counts wires that stay as they are, whatever their label. The others are in order of work."""

    take_out: tuple[Wire, ...]
    move: tuple[Moved, ...]
    put_in: tuple[Wire, ...]
    relabel: tuple[Renumbered, ...]
    kept: int


def changes(old: Wiring, new: Wiring) -> Changes:
    """Compare two wirings wire by wire. A wire is moved when one end stays and its places do not change."""
    before = {w.id: w for w in old.wires}
    after = {w.id: w for w in new.wires}
    gone = [w for w in old.wires if w.id not in after]
    come = [w for w in new.wires if w.id not in before]
    moves: list[Moved] = []
    for wire in list(come):
        other = next((w for w in gone if {*w.ends} & {*wire.ends} and {*w.places} == {*wire.places}), None)
        if other is not None:
            gone.remove(other)
            come.remove(wire)
            moves.append(_moved(other, wire))
    kept = len(before.keys() & after.keys())
    return Changes(tuple(gone), tuple(moves), tuple(come), renumbering(old, new), kept)


def _moved(old: Wire, new: Wire) -> Moved:
    stays = next(end for end in old.ends if end in new.ends)
    was = next(end for end in old.ends if end != stays)
    return Moved(new, stays, was, next(end for end in new.ends if end != stays))


def changes_report(found: Changes) -> str:
    """The changes as plain text to print and tick off: out first, so that terminals are free."""
    lines = [f"CHANGES ({found.kept} wires stay)"]
    lines += [f"  [ ] take out  {w.number:>6}  {w.ends[0]} - {w.ends[1]}" for w in found.take_out]
    lines += [
        f"  [ ] move      {m.wire.number:>6}  from {m.was} to {m.becomes}, the end at {m.stays} stays"
        for m in found.move
    ]
    lines += [f"  [ ] put in    {w.number:>6}  {w.ends[0]} - {w.ends[1]}  ({w.stage})" for w in found.put_in]
    lines += [f"  [ ] relabel   {r.old:>6}  becomes {r.new} at {', '.join(r.ends)}" for r in found.relabel]
    if len(lines) == 1:
        lines.append("  Nothing changes.")
    return "\n".join(lines) + "\n"
