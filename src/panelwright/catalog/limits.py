"""What no device can be: nothing of what has to be something, a setting outside its range."""

from __future__ import annotations

from . import troubles
from .facts import Said
from .making import MOST, Making


def check(making: Making) -> None:
    """Report facts whose values cannot be."""
    for said in making.said.values():
        counted = said.row.takes == "count"
        nothing = (counted and said.count < 1) or (said.quantity is not None and said.quantity.value <= 0)
        if nothing or any(other is not None and other.value <= 0 for other in (said.other,)):
            making.tell(troubles.nothing_of_it(making.tag, said.row.says, said.text, said.row.form, said.span))
        _bounds(making, said)
        most = making.kind.most_poles if said.row.name == "poles" else MOST
        if counted and said.count > most:
            making.tell(troubles.too_many(making.tag, said.text, most, said.span))
    _setting(making)


def _bounds(making: Making, said: Said) -> None:
    """A value that such a thing cannot have."""
    row = said.row
    if said.quantity is None or said.quantity.value <= 0:
        return
    low, high = row.least, row.most
    if (low is not None and said.quantity.value < low) or (high is not None and said.quantity.value > high):
        making.tell(troubles.cannot_be(making.tag, row.says, said.text, low, high, row.form, said.span))


def _setting(making: Making) -> None:
    said, setting = making.said.get("range"), making.said.get("set")
    if said is None or said.quantity is None or said.other is None:
        return
    low, high = said.quantity, said.other
    if low.value >= high.value:
        making.tell(troubles.range_upside_down(making.tag, said.text, low.text, high.text, said.span))
    elif setting is not None and setting.quantity is not None and not low.value <= setting.quantity.value <= high.value:
        span = setting.span
        making.tell(troubles.outside_range(making.tag, setting.text, said.text, span, said.span))
