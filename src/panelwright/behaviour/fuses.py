"""How long a fuse or a breaker carries too much."""

from __future__ import annotations

from ..circuit import Fuse

# Ten times its rating opens a fuse (gG) and trips a breaker (curve C) within about 10 ms; near the conventional fusing
# current it takes up to an hour. A straight line on a double logarithmic sheet between the two stands in for the
# curve of the maker. Above ten times a fuse melts at a constant square of amps times seconds, while a breaker cannot
# move faster. Common practice, from memory of IEC 60269-1 and IEC 60898-1.
AT_ONCE, AT_ONCE_S = 10.0, 0.01
LONGEST_S = 3600.0
SLOPE = 7.0  # log(3600 s / 0.01 s) / log(10 / 1.6)


def seconds_to_blow(fuse: Fuse, amps: float) -> float:
    """Seconds until it opens at a constant current that is enough to open it."""
    part_of_ten = AT_ONCE * fuse.amps / amps
    if part_of_ten > 1:
        return float(min(LONGEST_S, AT_ONCE_S * part_of_ten**SLOPE))
    return AT_ONCE_S if fuse.resettable else AT_ONCE_S * part_of_ten**2
