"""A timer in a rung that its kind cannot serve."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem, Span
from ..board import Board

CODE = "PW324"


def find(board: Board) -> Iterator[Problem]:
    """Timers that run only while a button is held, and timers whose timed contact feeds their own coil."""
    standings = board.standings
    for wired in board.coils:
        sort = wired.device.mechanism.sort
        full = standings.program.full[wired.id]
        timed = standings.input(f"{wired.device.tag}:timed")
        if sort not in ("on-delay", "off-delay", "interval", "star-delta") or not standings.can([full], settled=False):
            continue
        released = [literal ^ 1 for literal in board.pushes()]
        uses_its_time = any(w.contact.timing == "timed" for w in board.contacts_of(wired.device.tag))
        if sort in ("on-delay", "star-delta") and uses_its_time and not standings.can([full, *released], settled=False):
            yield _problem(
                wired.device.tag, "runs only while a button is held",
                f"an {sort} timer starts again from nothing each time its coil is dead; a tap never ends its time.",
                "hold the coil in with an instantaneous contact or a relay beside the button.", wired.span,
            )  # fmt: skip
        if timed is not None and not standings.can([full, timed ^ 1], settled=False):
            yield _problem(
                wired.device.tag, "can only get volts after its own time has run",
                "its timed contact lies in its own coil's path, so the time never begins.",
                "hold it in with an instantaneous contact, or take a timer of another kind.", wired.span,
            )  # fmt: skip


def _problem(tag: str, fact: str, why: str, mend: str, span: Span | None) -> Problem:
    return Problem(CODE, f"{tag} {fact}", why, mend, span, severity="warning", devices=(tag,))
