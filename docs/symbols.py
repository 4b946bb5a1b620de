"""Writes docs/look-up/symbols.md from the symbol files."""

from __future__ import annotations

from collections.abc import Iterator

from panelwright.sheets.symbols import Standard, Symbol, contact_symbol, operator_names, part_symbol, symbol_names

HEAD = """# Symbols

Written by `python3 dev.py docs` from the symbol files; do not edit.

Every symbol stands on a grid of 2.5 mm and is four units long, with its terminals on grid points.
In a level rung the IEC symbols are the upright ones turned: what is left of an upright path lies below in a rung,
so that operation always moves a contact to the right or upwards.
A contact has two forms, at rest and moved; the bench draws the moved form, with the blade at rest dotted behind it.

Geometry and words say where they come from and how far to trust them.
Symbols *from memory* have not been compared with the printed standard: where a drawing has to satisfy one, check them first.

![every symbol, at rest and moved](../pictures/symbols.svg)
"""


def symbols_page() -> str:
    """The page, as text."""
    return "\n".join([HEAD, *_contacts(), "", *_parts()]) + "\n"


def _contacts() -> Iterator[str]:
    yield "## Contacts\n"
    yield "Each as a make and as a break contact, in both standards. North American names are as said in the trade."
    yield "Where the North American column says *plain*, the contact is drawn as a relay contact and its tag tells.\n"
    yield "| worked by | words | IEC | North American |"
    yield "| --- | --- | --- | --- |"
    yield _row("", "a coil, at once")
    for name in operator_names():
        yield _row(name, contact_symbol("make", name).words.removeprefix("make contact, "))


def _row(operator: str, words: str) -> str:
    iec, other = contact_symbol("make", operator), contact_symbol("make", operator, "NA")
    plain = operator and other.rest == contact_symbol("make", "", "NA").rest
    return f"| {operator or 'relay contact'} | {words} | {_trust(iec)} | {'plain' if plain else _trust(other)} |"


def _parts() -> Iterator[str]:
    yield "## Everything else\n"
    yield "| name | words | IEC | North American |"
    yield "| --- | --- | --- | --- |"
    own: dict[Standard, set[str]] = {"IEC": set(symbol_names("IEC")), "NA": set(symbol_names("NA"))}
    for name in symbol_names("IEC"):
        iec = part_symbol(name)
        north = _trust(part_symbol(name, "NA")) if name in own["NA"] else "as IEC"
        yield f"| {name} | {iec.words} | {_trust(iec)} | {north} |"


def _trust(symbol: Symbol) -> str:
    """Trust first, then the source when it is not the usual one of the file."""
    usual = symbol.source.startswith(("IEC 60617", "NEMA ICS 19"))
    return symbol.trust if usual else f"{symbol.trust}; {symbol.source}"
