"""What an allotment leaves over and what it lacks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from ..circuit import Circuit, PathUse, Use
from .drawer import Drawer
from .parts import positions_of
from .plan import Free, Shortage
from .uses import Wanted

FORMS = {"no": "NO", "nc": "NC"}


def shortages_of(wanted: Sequence[Wanted], drawers: Mapping[str, Drawer]) -> tuple[Shortage, ...]:
    """Devices with fewer contacts of a form than are wanted, in the order of the file."""
    if not any(drawer.short for drawer in drawers.values()):
        return ()
    needed = Counter(_kind(w.use) for w in wanted)
    missing = Counter(_kind(use) for drawer in drawers.values() for use in drawer.short)
    first = {_kind(use): use for drawer in drawers.values() for use in reversed(drawer.short)}
    return tuple(
        Shortage(kind[0], kind[1], needed[kind], needed[kind] - count, first[kind].span)
        for kind, count in missing.items()
    )


def _kind(use: Use) -> tuple[str, str]:
    form = FORMS.get(use.form) or "+".join(sorted(positions_of(use)))
    return use.device, form if use.timing == "plain" else f"{use.timing} {form}"


def free_in(circuit: Circuit, drawers: Mapping[str, Drawer]) -> dict[str, tuple[Free, ...]]:
    """Contacts that nothing uses, per device; poles for the load current count as used where a power path has them."""
    on_paths = {
        (item.device, name)
        for path in circuit.power_paths
        for item in path.items
        if isinstance(item, PathUse)
        for name in item.names
    }
    free: dict[str, tuple[Free, ...]] = {}
    for tag, drawer in drawers.items():
        left = tuple(
            Free(c.name, FORMS.get(c.form, "+".join(sorted(c.positions))), not drawer.pole_is_free(c))
            for c in drawer.contacts
            if c.name not in drawer.taken and (tag, c.name) not in on_paths
        )
        if left:
            free[tag] = left
    return free


def poles_in_use(wanted: Sequence[Wanted]) -> int:
    """Contacts in use, a change-over counted once."""
    return len({(w.use.device, w.contact.changeover or w.contact.name) for w in wanted if w.contact is not None})
