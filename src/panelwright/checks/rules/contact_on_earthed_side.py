"""A contact between a load and the earthed rail."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Contact, Problem
from ..board import Board, Wired

CODE = "PW307"


def find(board: Board) -> Iterator[Problem]:
    """Contacts that one earth fault would bridge, with the load that then cannot be stopped or starts by itself."""
    told: set[str] = set()
    for device, source in board.circuit.supplies:
        rail = board.rail_net(device, source, source.earthed_at) if source.earthed_at else None
        if rail is None or device not in [d for d, _ in board.control_sources]:
            continue
        ways = board.reached(rail)
        for wired in board.loads:
            way: list[Wired] = next((ways[net] for net in (wired.b, wired.a) if net != rail and net in ways), [])
            for step in way:
                if not isinstance(step.part, Contact) or step.id in told:
                    continue
                told.add(step.id)
                overload = step.device.mechanism.sort == "trip"
                yield Problem(
                    CODE,
                    f"{step.id} stands between {wired.id} and the earthed rail {source.earthed_at}",
                    f"one earth fault on the wire between them bridges {step.device.tag}: {wired.device.tag} "
                    "could start by itself or not stop, and no fuse blows (NEC 430.74; IEC 60204-1, 9.4.3)."
                    + (" Inside a starter an overload contact may stand there." if overload else ""),
                    f"move {step.id} to the other side of {wired.id}; the load belongs next to the earthed rail.",
                    step.span,
                    ((f"{wired.id} stands here", wired.span),) if wired.span else (),
                    severity="warning" if overload else "mistake",
                    devices=(step.device.tag, wired.device.tag),
                )
