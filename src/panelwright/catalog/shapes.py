"""The shapes that facts have, each read by one function.

Every function stands behind the lead words (if the fact has any) and answers with what it read, the scanner moved on,
or None, the scanner where it was.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from ..circuit import Quantity
from . import troubles
from .facts import Said, Scanner
from .marks import Block, Form, Timing
from .quantities import Measure, is_number, measure_at
from .shelf import FactRow, plain

RAIL = re.compile(r"[+-]\w*|\d*[A-Z]\w*[+-]?")
POSITION = re.compile(r"[A-Z][A-Z0-9-]*")
CONTACT_FORMS = ("NO", "NC", "CO")
RATING_CODE = re.compile(r"[A-EN-R](?:150|300|600)")
CATEGORY = re.compile(r"AC-1[2-5]|DC-1[2-4]")
RATINGS = ["A600", "A300", "B300", "C300", "Q300", "R300", "AC-15 3 A", "DC-13 1 A"]  # for messages
MARKS = re.compile(r"\w+[+']?-\w+[+']?(?:-\w+[+']?)?")
_FORMS: dict[str, Form] = {"no": "no", "nc": "nc", "co": "co", "make": "no", "makes": "no", "break": "nc",
                           "breaks": "nc", "changeover": "co", "change over": "co", "changeovers": "co"}  # fmt: skip
_SHORT = {"spdt": 1, "dpdt": 2, "3pdt": 3, "4pdt": 4}  # throws of change-over contacts
_TIMINGS: dict[str, Timing] = {"instant": "instant", "instantaneous": "instant", "timed": "timed", "delayed": "timed"}
Shape = Callable[[Scanner, FactRow, int], Said | None]


def _said(scanner: Scanner, row: FactRow, start: int, **found: object) -> Said:
    text, span = scanner.text(start, scanner.at), scanner.span(start, scanner.at)
    return Said(row, text, span, **found)  # type: ignore[arg-type]


def _measure(scanner: Scanner, row: FactRow) -> Measure | None:
    """A quantity here in one of the units of the fact; its words are taken."""
    measure = measure_at(scanner.texts, scanner.at)
    if measure is None or (row.units and measure.quantity.unit not in row.units):
        return None
    scanner.take(measure)
    return measure


def quantity(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """`2.5 A`."""
    measure = _measure(scanner, row)
    return _said(scanner, row, start, quantity=measure.quantity, current=measure.current) if measure else None


def rating(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """`24 V dc`, `230 V 50 Hz`, `120 V ac 60 Hz`."""
    measure = _measure(scanner, row)
    if measure is None:
        return None
    current, hertz = measure.current, 0.0
    frequency = measure_at(scanner.texts, scanner.at)
    if frequency is not None and frequency.quantity.unit == "Hz":
        scanner.take(frequency)
        hertz, current = frequency.quantity.value, current or "ac"
        if current == "ac" and scanner.peek().lower() == "ac":
            scanner.at += 1
    return _said(scanner, row, start, quantity=measure.quantity, current=current, hertz=hertz)


def pair(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """`480 V / 120 V`, also `480/120 V` and `400 V to 230 V`."""
    here = scanner.at
    words = scanner.texts
    if words[here + 1 : here + 2] == ["/"] and measure_at([words[here], "V"], 0) and here + 2 < len(words):
        second = measure_at(words, here + 2)  # 480/120 V: the unit of the second holds for both
        if second is not None and second.quantity.unit in row.units:
            scanner.at = here + 2
            scanner.take(second)
            first = measure_at([words[here], "V"], 0)
            assert first is not None
            return _said(scanner, row, start, quantity=first.quantity, other=second.quantity)
    first = _measure(scanner, row)
    if first is not None and scanner.peek() in ("/", "to"):
        scanner.at += 1
        if (second := _measure(scanner, row)) is not None:
            return _said(scanner, row, start, quantity=first.quantity, other=second.quantity)
    scanner.at = here
    return None


def range_(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """`4 A to 6.3 A`, also `4 to 6.3 A` and `4-6.3 A`."""
    here = scanner.at
    both = re.fullmatch(r"(\d+(?:\.\d+)?)-(\d+(?:\.\d+)?)([A-Za-z]*)", scanner.peek())
    if both is not None:
        unit = both[3] or scanner.peek(1)
        low, high = measure_at([both[1], unit], 0), measure_at([both[2], unit], 0)
        scanner.at += 1 if both[3] else 2
    else:
        low = _measure(scanner, row)
        joining = scanner.peek() if low else scanner.peek(1)
        if joining not in ("to", "..", "...", "-"):
            scanner.at = here
            return None
        number = scanner.peek()
        scanner.at += 1 if low else 2
        high = _measure(scanner, row)
        if low is None and high is not None:
            low = measure_at([number, high.quantity.text.split()[-1].lstrip("0123456789.,")], 0)
    if low and high and low.quantity.unit == high.quantity.unit and low.quantity.unit in row.units:
        return _said(scanner, row, start, quantity=low.quantity, other=high.quantity)
    scanner.at = here
    return None


def delay(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """`10 s`, `10 s +- 0.1 s`, `10 s +- 5 %`."""
    measure = _measure(scanner, row)
    if measure is None:
        return None
    here = scanner.at
    if scanner.peek() in ("+-", "±", "+/-", "-+"):
        scanner.at += 1
    elif [scanner.peek(), scanner.peek(1)] == ["+", "-"] or [scanner.peek(), scanner.peek(1)] == ["+", "/"]:
        scanner.at += 3 if scanner.peek(1) == "/" else 2
    elif scanner.peek()[:1] == "±":
        found = measure_at([scanner.peek()[1:], scanner.peek(1)], 0)
        if found is not None:
            scanner.at += found.words
            return _said(scanner, row, start, quantity=measure.quantity, other=found.quantity)
    if scanner.at > here:
        tolerance = measure_at(scanner.texts, scanner.at)
        if tolerance is not None and tolerance.quantity.unit in ("s", "%"):
            scanner.take(tolerance)
            return _said(scanner, row, start, quantity=measure.quantity, other=tolerance.quantity)
        scanner.at = here
    return _said(scanner, row, start, quantity=measure.quantity)


def count(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """`3 poles`, `12 terminals`: the units of the row are the nouns."""
    number = scanner.peek()
    if number.isascii() and number.isdigit() and len(number) < 5 and scanner.peek(1).lower() in row.units:
        scanner.at += 2
        return _said(scanner, row, start, count=int(number))
    joined = re.fullmatch(r"(\d{1,4})-?([a-z]+)", scanner.peek())
    if joined is not None and joined[2] in row.units:
        scanner.at += 1
        return _said(scanner, row, start, count=int(joined[1]))
    return None


def contacts(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """`2 CO`, `1 NO (13-14) + 1 NC (21-22)`, `1 NO + 1 NO instant`."""
    blocks = _some_contacts(scanner)
    if blocks is None:
        return None
    while scanner.peek() == "+":
        here = scanner.at
        scanner.at += 1
        more = _some_contacts(scanner)
        if more is None:
            scanner.at = here
            break
        blocks += more
    return _said(scanner, row, start, blocks=tuple(blocks))


def _some_contacts(scanner: Scanner) -> list[Block] | None:
    number, taken = _SHORT.get(scanner.peek().lower(), 0), 1
    form: Form | None = "co" if number else None
    if not number and scanner.peek().isascii() and scanner.peek().isdigit() and len(scanner.peek()) < 3:
        number, taken = int(scanner.peek()), 2
        form = _FORMS.get(plain(scanner.peek(1)).rstrip("."))
        if form is None and plain(f"{scanner.peek(1)} {scanner.peek(2)}") in _FORMS:
            form, taken = _FORMS[plain(f"{scanner.peek(1)} {scanner.peek(2)}")], 3
    if form is None:
        return None
    scanner.at += taken + (scanner.peek(taken).lower() in ("contact", "contacts"))
    timing = _TIMINGS.get(scanner.peek().lower(), "plain")
    scanner.at += timing != "plain"
    start = scanner.at
    marks = _written_marks(scanner)
    if len(marks) > number:
        span = scanner.span(start, scanner.at)
        scanner.problems.append(troubles.too_many_marks(number, len(marks), form.upper(), span))
    return [Block(form, timing, marks[at] if at < len(marks) else "") for at in range(number)]


def _written_marks(scanner: Scanner) -> list[str]:
    """`(13-14 23-24)`; a bracket that holds something else is left standing."""
    if scanner.peek() != "(":
        return []
    end = 1
    while MARKS.fullmatch(scanner.peek(end)):
        end += 1
    if scanner.peek(end) != ")":
        return []
    marks = [scanner.peek(at) for at in range(1, end)]
    scanner.at += end + 1
    return marks


def rails(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """`L1 L2 L3 PE` after "rails"; a sign or a capital begins each."""
    here = scanner.at
    while RAIL.fullmatch(scanner.peek()) and not _is_rating(scanner):
        scanner.at += 1
    names = tuple(name.lstrip("=") for name in scanner.texts[here : scanner.at])
    return _said(scanner, row, start, names=names) if names else None


def _is_rating(scanner: Scanner) -> bool:
    """`24V` behind the rails is a rating; `0V` is a rail, for nothing is rated so."""
    measure = measure_at([scanner.peek()], 0)
    return measure is not None and measure.quantity.value > 0


def rail(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """One rail."""
    if not RAIL.fullmatch(scanner.peek()):
        return None
    scanner.at += 1
    return _said(scanner, row, start, names=(scanner.texts[scanner.at - 1],))


def nothing(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """The lead words say it all."""
    return _said(scanner, row, start)


def position(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """One position of a selector."""
    if not (POSITION.fullmatch(scanner.peek()) or scanner.peek().isdigit()):
        return None
    scanner.at += 1
    return _said(scanner, row, start, names=(scanner.texts[scanner.at - 1],))


def positions(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """`HAND OFF AUTO`, `I 0 II`: the positions in the order in which the handle passes them."""
    here = scanner.at
    while _is_position(scanner, here):
        scanner.at += 1
    names = tuple(scanner.texts[here : scanner.at])
    if any(POSITION.fullmatch(name) for name in names):
        return _said(scanner, row, start, names=names)
    scanner.at = here
    return None


def _is_position(scanner: Scanner, first: int) -> bool:
    word, after = scanner.peek(), scanner.peek(1).lower()
    if any(plain(word) == plain(name) for name in scanner.kind.words):
        return False
    if word == "0":
        return after not in _FORMS and (scanner.at > first or bool(POSITION.fullmatch(scanner.peek(1))))
    return bool(POSITION.fullmatch(word)) and word not in CONTACT_FORMS


def closed_at(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """`13-14 closed at HAND and AUTO`."""
    if not (MARKS.fullmatch(scanner.peek()) and scanner.peek(1) == "closed" and scanner.peek(2) in ("at", "in")):
        return None
    marks, names = scanner.peek(), []
    scanner.at += 3
    while POSITION.fullmatch(scanner.peek()) or scanner.peek().isdigit():
        names.append(scanner.peek())
        scanner.at += 1
        if scanner.peek() in ("and", "+"):
            scanner.at += 1
        else:
            break
    return _said(scanner, row, start, closed_at=((marks, tuple(names)),))


def colour(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """A colour of the catalogue, in its own spelling or another one."""
    for known in scanner.shelf.colours.values():
        if scanner.peek().lower() in (known.name, *known.also):
            scanner.at += 1
            return _said(scanner, row, start, names=(known.name,))
    return None


def base(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """`blade-8`, `octal 11`."""
    for known in scanner.shelf.bases.values():
        for name in (known.name, *known.also):
            if taken := scanner.starts_with(name):
                scanner.at += taken
                return _said(scanner, row, start, names=(known.name,))
    return None


def suppressor(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """`diode`, `varistor`, `RC` after "with"."""
    for known in scanner.shelf.suppressors.values():
        for name in (known.name, *known.also):
            if taken := scanner.starts_with(name):
                scanner.at += taken
                return _said(scanner, row, start, names=(known.name,))
    return None


def marks(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """`13-14`: two terminals."""
    if not MARKS.fullmatch(scanner.peek()):
        return None
    scanner.at += 1
    return _said(scanner, row, start, names=(scanner.texts[scanner.at - 1],))


def number(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """`1.15`: a number without a unit, behind its lead words; `85 %` is 0.85."""
    share = measure_at(scanner.texts, scanner.at)
    if share is not None and share.quantity.unit == "%" and not share.comma:
        scanner.take(share)
        value = Quantity(share.quantity.value / 100, "", share.quantity.text)
        return _said(scanner, row, start, quantity=value)
    if not is_number(scanner.peek()) or "," in scanner.peek():
        return None
    value = Quantity(float(scanner.peek()), "", scanner.peek())
    scanner.at += 1
    return _said(scanner, row, start, quantity=value)


def letter(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """`G`: one of the letters of the row."""
    if scanner.peek().upper() not in row.among:
        return None
    scanner.at += 1
    return _said(scanner, row, start, names=(scanner.texts[scanner.at - 1],))


def contact_rating(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """`A300 R300`: rating codes; `AC-15 3 A`: a utilisation category with its current."""
    names: list[str] = []
    while True:
        word, amps = scanner.peek().upper(), measure_at(scanner.texts, scanner.at + 1)
        if RATING_CODE.fullmatch(word):
            scanner.at += 1
            names.append(word)
        elif CATEGORY.fullmatch(word) and amps is not None and amps.quantity.unit == "A":
            scanner.at += 1
            scanner.take(amps)
            names.append(f"{word} {amps.quantity.text}")
        else:
            return _said(scanner, row, start, names=tuple(names)) if names else None
        scanner.at += scanner.peek() in ("/", "and")


SHAPES: dict[str, Shape] = {
    "contacts": contacts, "count": count, "closed at": closed_at, "pair": pair, "range": range_, "delay": delay,
    "rating": rating, "quantity": quantity, "colour": colour, "positions": positions, "position": position,
    "rails": rails, "rail": rail, "base": base, "suppressor": suppressor, "nothing": nothing, "marks": marks,
    "number": number, "letter": letter, "contact rating": contact_rating,
}  # in the order in which they are tried  # fmt: skip
