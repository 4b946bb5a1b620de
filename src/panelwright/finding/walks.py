"""The order in which somebody walks along a rung with a meter lead."""

from __future__ import annotations

from collections.abc import Iterator

from ..circuit import Item, Parallel, Rung, Series, Through, Use


def walk_of(rung: Rung) -> tuple[str, ...]:
    """Terminals of a rung from its start to its end, branches one after the other; each once."""
    return tuple(dict.fromkeys(_terminals(rung.body)))


def _terminals(item: Item) -> Iterator[str]:
    if isinstance(item, Use) and item.terminals:
        yield from (f"{item.device}.{mark}" for mark in item.terminals)
    elif isinstance(item, Through):
        yield f"{item.device}.{item.terminal}"
    elif isinstance(item, Series):
        for inner in item.items:
            yield from _terminals(inner)
    elif isinstance(item, Parallel):
        for branch in item.branches:
            yield from _terminals(branch)
