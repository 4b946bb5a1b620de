"""A line of devices or supplies becomes a device."""

from __future__ import annotations

from ..circuit import Device, Mechanism, Span
from . import troubles
from .build import build
from .facts import Said, Scanner, split_words
from .lines import DeviceLine, DeviceReading
from .quantities import COMMA_NUMBER, NUMBER, measure_at
from .shapes import SHAPES
from .shelf import FactRow, KindRow, Shelf, WordRow, plain, shelf

_MOST_KIND_WORDS = 5


def read_device(line: DeviceLine) -> DeviceReading:
    """Read the words after a tag. Never raises on what somebody typed.

    A wrong line still gives a device, with the parts that could be made out, so that its tag is declared.
    """
    rows = shelf()
    words = split_words(line.words)
    scanner = Scanner(line, _NO_KIND, rows, words)
    taken = _find_kind(scanner)
    if scanner.kind is _NO_KIND:
        bare = Device(line.tag, "", line.place, line.text, Mechanism("fixed"), (), (), span=_whole(line))
        return DeviceReading(bare, tuple(scanner.problems))
    scanner.at = taken
    said, flags = _scan(scanner)
    _miss(scanner, said)
    device = build(scanner, said, flags)
    return DeviceReading(device, tuple(scanner.problems))


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
    for length in range(min(most, _MOST_KIND_WORDS), 0, -1):
        near = troubles.nearest(" ".join(texts[:length]), names, 0.78)
        if near:
            scanner.kind = names[near]
            break
    else:
        length = 1
        near = troubles.nearest(texts[0], names, 0.6)
    word, span = scanner.text(0, length), scanner.span(0, length)
    offered = names[near].name if near else ""
    scanner.problems.append(troubles.unknown_kind(scanner.line.tag, word, offered, span))
    return length


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
        elif scanner.at == start:
            _trouble(scanner, facts)
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
        scanner.problems.append(troubles.said_twice(group, f"`{other.name}`", f"`{row.name}`", span, before))
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
        lead = scanner.text(start, start + taken)
        span = scanner.span(start, start + taken)
        scanner.problems.append(troubles.incomplete_fact(lead, row.form, row.says, span))
        scanner.at = start + taken
        return None
    for shape in SHAPES:
        for row in facts:
            if row.takes == shape and not row.lead and (found := SHAPES[shape](scanner, row, start)) is not None:
                return found
    return None


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
        one, two = f"`{before.text}`", f"`{found.text}`"
        scanner.problems.append(troubles.said_twice(found.row.says, one, two, found.span, before.span))


def _trouble(scanner: Scanner, facts: list[FactRow]) -> None:
    """Report the word here and move on."""
    start = scanner.at
    word = scanner.peek()
    others = [row for row in scanner.shelf.facts.values() if row not in facts]
    foreign = _foreign(scanner, others)
    if foreign is not None:
        kinds = [row.name for row in scanner.shelf.kinds.values() if foreign.row.name in row.facts]
        problem = troubles.not_of_this_kind(scanner.kind.name, foreign.row.says, foreign.text, kinds, foreign.span)
        scanner.problems.append(problem)
        return
    scanner.at = start + 1
    if NUMBER.fullmatch(word) or COMMA_NUMBER.fullmatch(word):
        if COMMA_NUMBER.fullmatch(word):
            scanner.problems.append(troubles.decimal_comma(word, scanner.span(start)))
        forms = [row.form for row in facts if row.takes in ("quantity", "rating", "delay", "count", "contacts")]
        scanner.problems.append(troubles.no_unit(word, forms, scanner.span(start)))
        return
    known = [row.name for name in scanner.kind.words if (row := scanner.shelf.words[name])]
    known += [lead for row in facts for lead in row.lead]
    if any(row.takes == "colour" for row in facts):
        known += scanner.shelf.colours
    near = troubles.nearest(word, known)
    shown = [f"`{row.form}`" for row in facts]
    span = scanner.span(start)
    scanner.problems.append(troubles.unknown_fact(scanner.kind.name, word, near, shown, span))


def _foreign(scanner: Scanner, others: list[FactRow]) -> Said | None:
    """A whole fact that other kinds take; its words are taken, so that it is reported once."""
    start, problems = scanner.at, len(scanner.problems)
    if measure_at(scanner.texts, start) is None and not any(
        scanner.starts_with(lead) for row in others for lead in row.lead
    ):
        others = [row for row in others if row.takes in ("contacts", "count", "colour")]
    found = _fact(scanner, [row for row in others if row.takes != "positions"])
    if found is None:
        scanner.at = start
        del scanner.problems[problems:]
    return found


def _miss(scanner: Scanner, said: dict[str, Said]) -> None:
    """Report every fact that the kind needs and the line does not say."""
    for name in scanner.kind.needs:
        if name not in said:
            row = scanner.shelf.facts[name]
            problem = troubles.missing_fact(
                scanner.line.tag, scanner.kind.name, row.says, row.form, _whole(scanner.line)
            )
            scanner.problems.append(problem)


def kind_of(name: str) -> KindRow | None:
    """The kind that goes by this name or synonym, if any."""
    return shelf().kind_names.get(plain(name))


__all__ = ["Shelf", "kind_of", "read_device"]
