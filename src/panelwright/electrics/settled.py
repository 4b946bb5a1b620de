"""From a contact position to settled currents: rounds until every diode, limit, short and fed supply fits."""

from __future__ import annotations

from .elements import Elements
from .positions import Position
from .rectified import sees_ac, solve_cycle
from .solving import Settling

MAX_ROUNDS = 200
GENTLE_AFTER = 20  # rounds after which diodes change one at a time, so that they cannot chase each other


def settle_currents(elements: Elements, position: Position) -> Settling:
    """Solve the elements in one contact position."""
    settling = Settling(elements, position)
    for count in range(MAX_ROUNDS):
        settling.solve()
        if not (
            settling.found_shorts()
            or settling.turned_valves(gently=count >= GENTLE_AFTER)
            or settling.met_limits()
            or settling.fed_supplies()
        ):
            break
    else:
        settling.settled = False
    if sees_ac(settling):
        solve_cycle(settling)
    return settling
