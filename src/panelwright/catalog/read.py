"""A line of devices or supplies becomes a device."""

from __future__ import annotations

import re
from dataclasses import replace
from difflib import SequenceMatcher

from ..circuit import Device, Mechanism, Source, Span
from . import troubles
from .build import build
from .facts import Said, Scanner, split_words
from .lines import DeviceLine, DeviceReading, Word
from .making import STANDS_IN_V
from .quantities import is_number, measure_at
from .shapes import CONTACT_FORMS, RATINGS, SHAPES
from .shelf import FactRow, KindRow, WordRow, plain, shelf

_MOST_KIND_WORDS = 5
_ZERO_FOR_O = re.compile("[CN]0")
_LIKELY = 0.7  # a kind spelt this much alike is worth naming
_SURE = 0.8  # a kind spelt this much alike is read as if it were meant, beside the report


def read_line(line: DeviceLine) -> DeviceReading:
    """Read the words after a tag; see `catalog.read_device`."""
    rows = shelf()
    words = split_words(line.words)
    scanner = Scanner(line, _NO_KIND, rows, words)
    taken = _find_kind(scanner)
    if scanner.kind is _NO_KIND:
        return DeviceReading(_without_kind(scanner), tuple(scanner.problems))
    scanner.at = taken
    said, flags = _scan(scanner)
    _miss(scanner, said)
    device = build(scanner, said, flags)
    return DeviceReading(device, tuple(scanner.problems))


def _without_kind(scanner: Scanner) -> Device:
    """A device of unknown kind: its tag is declared, and its rails, so that nothing else is reported for it."""
    line, rails = scanner.line, scanner.shelf.facts["rails"]
    parts: tuple[Source, ...] = ()
    for at in range(len(scanner.words)):
        scanner.at = at
        taken = max((scanner.starts_with(lead) for lead in rails.lead), default=0)
        scanner.at = at + taken
        if taken and (said := SHAPES["rails"](scanner, rails, at)) is not None and len(set(said.names)) > 1:
            names = tuple(dict.fromkeys(said.names))
            parts = (Source("out", names, names, "dc" if "+" in names else "ac", STANDS_IN_V),)
            break
    marks = parts[0].terminals if parts else ()
    return Device(line.tag, "", line.place, line.text, Mechanism("fixed"), parts, marks, span=_whole(line))


_NO_KIND = KindRow(name="", says="", iec="", source="", trust="common practice")


def _whole(line: DeviceLine) -> Span:
    """The words of the line; a line without words is marked at its start."""
    if not line.words:
        return Span(line.line, 1, max(len(line.tag), 1))
    last = line.words[-1]
    return Span(line.line, line.words[0].column, last.column + last.length - line.words[0].column)


def _find_kind(scanner: Scanner) -> int:
    """Set the kind; answer how many words its name took. The longest name wins."""
    names, texts = scanner.shelf.kind_names, scanner.texts
    for length in range(min(_MOST_KIND_WORDS, len(texts)), 0, -1):
        row = names.get(plain(" ".join(texts[:length])))
        if row is not None:
            scanner.kind = row
            return length
    if not texts:
        scanner.problems.append(troubles.no_kind(scanner.line.tag, _whole(scanner.line)))
        return 0
    return _guess_kind(scanner)


def _guess_kind(scanner: Scanner) -> int:
    """Report the unknown kind; when one name is close, read on as if it were meant."""
    names, texts = scanner.shelf.kind_names, scanner.texts
    most = next((at for at, text in enumerate(texts) if not text[:1].isalpha() or text.isupper()), len(texts))
    if most == 0:
        scanner.problems.append(troubles.no_kind(scanner.line.tag, scanner.span(0)))
        return 0
    best, length, near = 0.0, 1, ""
    for taken in range(1, min(most, _MOST_KIND_WORDS) + 1):
        typed = plain(" ".join(texts[:taken]))
        name = troubles.nearest(typed, names)
        likeness = SequenceMatcher(None, typed, name).ratio() if name else 0.0
        if likeness > best:
            best, length, near = likeness, taken, name
    offered = [names[near].name] if best >= _LIKELY else []
    if best < _SURE and (alike := _of_this_sort(scanner, texts[most - 1])) and most > 1:
        length, offered = most, alike  # "belt drift switch" is some switch, and surely no bell
    word, span = scanner.text(0, length), scanner.span(0, length)
    scanner.problems.append(troubles.unknown_kind(scanner.line.tag, word, offered, span))
    if best >= _SURE:
        scanner.kind = names[near]
    return length


def _of_this_sort(scanner: Scanner, noun: str) -> list[str]:
    """The kinds whose name ends in this word: those that somebody may mean by another word before it."""
    return [name for name in scanner.shelf.kinds if name.split()[-1] == plain(noun) != name]


def _scan(scanner: Scanner) -> tuple[dict[str, Said], list[WordRow]]:
    """Every fact of the line, and every word that stands alone."""
    said: dict[str, Said] = {}
    flags: dict[str, tuple[WordRow, Span]] = {}
    facts = [scanner.shelf.facts[name] for name in scanner.kind.facts]
    while scanner.at < len(scanner.words):
        start = scanner.at
        if (flag := _flag(scanner, scanner.kind.words)) is not None:
            _keep_flag(scanner, flag, flags, start)
        elif (found := _fact(scanner, facts)) is not None:
            _keep(scanner, said, found)
        elif scanner.at == start and (meant := _trouble(scanner, facts)) is not None:
            _keep(scanner, said, meant)
    return said, [row for row, _ in flags.values()]


def _flag(scanner: Scanner, names: tuple[str, ...]) -> WordRow | None:
    """The longest word or phrase of these that stands here."""
    best: tuple[int, WordRow] | None = None
    for name in names:
        row = scanner.shelf.words[name]
        for spelling in (row.name, *row.also):
            taken = scanner.starts_with(spelling)
            if taken and (best is None or taken > best[0]):
                best = (taken, row)
    if best is None:
        return None
    scanner.at += best[0]
    return best[1]


def _keep_flag(scanner: Scanner, row: WordRow, flags: dict[str, tuple[WordRow, Span]], start: int) -> None:
    span = scanner.span(start, scanner.at)
    group = row.group or row.name
    if group in flags and flags[group][0] is not row:
        other, before = flags[group]
        scanner.problems.append(troubles.said_twice(group, other.name, row.name, span, before))
        return
    flags[group] = (row, span)


def _fact(scanner: Scanner, facts: list[FactRow]) -> Said | None:
    """The fact that stands here: those with lead words first, the longest lead first."""
    start = scanner.at
    led = [(taken, row) for row in facts for lead in row.lead if (taken := scanner.starts_with(lead))]
    for taken, row in sorted(led, key=lambda one: -one[0]):
        scanner.at = start + taken
        if (found := SHAPES[row.takes](scanner, row, start)) is not None:
            return found
        scanner.at = start
    if led:
        taken, row = max(led, key=lambda one: one[0])
        _incomplete(scanner, row, taken)
        return None
    bare = [row for row in facts if row.bare or not row.lead]
    for shape in SHAPES:
        for row in bare:
            if row.takes == shape and (found := SHAPES[shape](scanner, row, start)) is not None:
                return found
    return None


def _incomplete(scanner: Scanner, row: FactRow, taken: int) -> None:
    """Report a fact whose lead words stand here without what has to follow, and move behind both."""
    start, rows = scanner.at, scanner.shelf
    word = scanner.peek(taken)
    span = scanner.span(start + taken)
    named = {"base": [*rows.bases], "suppressor": [*rows.suppressors], "contact rating": RATINGS}.get(row.takes)
    scanner.at = start + taken + 1
    scanner.begun.add(row.name)
    if named is not None and word and scanner.kind.name:
        near = troubles.nearest(word, named, 0.5)
        scanner.problems.append(troubles.unknown_name(row.says, word, near, named, span))
    elif is_number(word) and row.units:
        scanner.problems.append(troubles.no_unit(word, [rows.form(scanner.kind, row)], span))
        scanner.at += scanner.peek().lower() in ("ac", "dc")
    else:
        scanner.at = start + taken + (is_number(word) or (row.takes == "letter" and len(word) == 1))
        lead = scanner.text(start, start + taken)
        where = scanner.span(start, start + taken)
        scanner.problems.append(troubles.incomplete_fact(lead, rows.form(scanner.kind, row), row.says, where))


def _keep(scanner: Scanner, said: dict[str, Said], found: Said) -> None:
    """Contacts and patterns may come in several pieces; every other fact once."""
    name = found.row.name
    before = said.get(name)
    if before is None:
        said[name] = found
    elif found.row.takes == "contacts":
        said[name] = Said(found.row, f"{before.text} + {found.text}", before.span, blocks=before.blocks + found.blocks)
    elif found.row.takes == "closed at":
        both = before.closed_at + found.closed_at
        said[name] = Said(found.row, f"{before.text} {found.text}", before.span, closed_at=both)
    else:
        scanner.problems.append(troubles.said_twice(found.row.says, before.text, found.text, found.span, before.span))


def _trouble(scanner: Scanner, facts: list[FactRow]) -> Said | None:
    """Report the word here and move on; answer the fact that was surely meant, if one was."""
    start, word, rows = scanner.at, scanner.peek(), scanner.shelf
    foreign = _foreign(scanner, [row for row in rows.facts.values() if row not in facts])
    if foreign is not None:
        kinds = [row.name for row in rows.kinds.values() if foreign.row.name in row.facts]
        meant = _meant(foreign, facts)
        form = f"{meant.lead[0]} {foreign.text}" if meant else ""
        kind, says = scanner.kind.name, foreign.row.says
        scanner.problems.append(troubles.not_of_this_kind(kind, says, foreign.text, form, kinds, foreign.span))
        return replace(foreign, row=meant) if meant else None
    scanner.at = start + 1
    span = scanner.span(start)
    contacts = [row for row in facts if row.takes == "contacts"]
    if contacts and (slipped := _contacts_meant(scanner, contacts[0], start)) is not None:
        return slipped
    if is_number(word):
        if "," in word:
            scanner.problems.append(troubles.decimal_comma(word, span))
        shapes = ("quantity", "rating", "delay", "count", "contacts", "range", "pair")
        measured = [row for row in facts if row.takes in shapes]
        likely = [row for row in measured if not row.lead or row.name in scanner.kind.needs]
        could_be = sorted(likely or measured, key=lambda row: row.name not in scanner.kind.needs)
        scanner.begun |= {row.name for row in could_be if not row.lead}
        forms = [rows.form(scanner.kind, row) for row in could_be]
        scanner.problems.append(troubles.no_unit(word, forms, span))
        return None
    if (misspelt := _misspelt(scanner, facts, start)) is not None:
        return misspelt
    near = troubles.nearest(word, _known_words(scanner, facts))
    forms = [*(rows.form(scanner.kind, row) for row in facts), *scanner.kind.words]
    scanner.problems.append(troubles.unknown_fact(scanner.kind.name, word, near, forms, span))
    return None


def _contacts_meant(scanner: Scanner, row: FactRow, start: int) -> Said | None:
    """Contacts with a slip: `2 C0` with a digit in place of the letter, `NO` without a number (read as one)."""
    word, column = scanner.words[start].text, scanner.words[start].column
    if word in CONTACT_FORMS:
        scanner.problems.append(troubles.no_number(word, scanner.span(start)))
        scanner.words[start : start + 1] = [Word("1", column, 1), scanner.words[start]]
    elif word.isdigit() and _ZERO_FOR_O.fullmatch(scanner.peek()):
        typed = scanner.text(start, start + 2)
        scanner.problems.append(troubles.zero_for_o(scanner.kind.name, typed, scanner.span(start, start + 2)))
        form = scanner.words[start + 1]
        scanner.words[start + 1] = Word(f"{form.text[0]}O", form.column, form.length)
    else:
        return None
    scanner.at = start
    return SHAPES[row.takes](scanner, row, start)


def _misspelt(scanner: Scanner, facts: list[FactRow], start: int) -> Said | None:
    """A fact of the kind whose lead phrase has a slip in it: reported once, and read as it was meant."""
    for row in facts:
        for lead in row.lead:
            words = len(plain(lead).split())
            if words == 1 or start + words > len(scanner.words):
                continue
            typed = plain(scanner.text(start, start + words))
            if SequenceMatcher(None, typed, plain(lead)).ratio() < _SURE:
                continue
            scanner.at = start + words
            if (found := SHAPES[row.takes](scanner, row, start)) is not None:
                span, kind = scanner.span(start, start + words), scanner.kind.name
                scanner.problems.append(troubles.unknown_fact(kind, scanner.text(start, start + words), lead, (), span))
                return found
            scanner.at = start + 1
    return None


def _known_words(scanner: Scanner, facts: list[FactRow]) -> list[str]:
    """Every word that could begin a fact of this kind."""
    rows = scanner.shelf
    known = [spelling for name in scanner.kind.words for spelling in (name, *rows.words[name].also)]
    known += [lead for row in facts for lead in row.lead]
    known += [unit for row in facts if row.takes == "count" for unit in row.units]
    if any(row.takes == "colour" for row in facts):
        known += rows.colours
    return known


def _meant(foreign: Said, facts: list[FactRow]) -> FactRow | None:
    """`coil 24 V dc` for a bare `24 V dc` on a relay: the fact of the kind with that quantity behind a lead."""
    if foreign.row.lead or foreign.quantity is None:
        return None
    shapes = {"rating": ("rating",), "quantity": ("quantity",)}.get(foreign.row.takes, ())
    for row in facts:
        if row.lead and row.takes in shapes and foreign.quantity.unit in row.units:
            return row
    return None


def _foreign(scanner: Scanner, others: list[FactRow]) -> Said | None:
    """A whole fact that other kinds take; its words are taken, so that it is reported once."""
    start, problems, begun = scanner.at, len(scanner.problems), set(scanner.begun)
    if measure_at(scanner.texts, start) is None and not any(
        scanner.starts_with(lead) for row in others for lead in row.lead
    ):
        others = [row for row in others if row.takes in ("contacts", "count", "colour")]
    found = _fact(scanner, [row for row in others if row.takes != "positions"])
    scanner.begun = begun
    if found is None:
        scanner.at = start
        del scanner.problems[problems:]
    return found


def _miss(scanner: Scanner, said: dict[str, Said]) -> None:
    """Report every fact that the kind needs and the line does not say."""
    tag, kind, rows = scanner.line.tag, scanner.kind, scanner.shelf
    for row in (rows.facts[name] for name in kind.needs if name not in {*said, *scanner.begun}):
        form = rows.form(kind, row)
        scanner.problems.append(troubles.missing_fact(tag, kind.name, row.says, form, _whole(scanner.line)))
