"""The reader of panel files. Reports every problem at once and never raises."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from panelwright.circuit import (
    Cable,
    Circuit,
    Heading,
    Mount,
    Note,
    Place,
    PowerPath,
    Problem,
    Sentence,
    SiteLine,
    Span,
    Step,
    Trial,
    WireRule,
)

from . import plain
from .device_lines import device_of, pattern_of
from .document import Document, Entry
from .headings import Section, heading_of, unknown_heading
from .lines import Line, decode, joined, split
from .meanings import Meanings
from .mending import mended
from .names import Names
from .parsing import STARTS, parse
from .paths import RawPath, path_of, with_primaries
from .rungs import rung_of
from .sizing_lines import site_line

MOST_PROBLEMS = 200
_KNOWN_PLACES = ("door", "plate", "field")
_INTERLOCK = re.compile(r"\s*-?(\w+)\s+and\s+-?(\w+)\s+interlocked\s+mechanically\s*$")


@dataclass(frozen=True, slots=True)
class Reading:
    """What a text says: the circuit as far as it could be read, and everything wrong with it, in file order."""

    circuit: Circuit
    problems: tuple[Problem, ...]
    document: Document
    name: str = "panel"

    @property
    def ok(self) -> bool:
        """Whether nothing is wrong (warnings do not count)."""
        return not any(problem.severity == "mistake" for problem in self.problems)


@dataclass
class _Draft:
    """What is gathered while the lines are read."""

    names: Names = field(default_factory=Names)
    heading: Heading = field(default_factory=Heading)
    places: list[Place] = field(default_factory=list)
    mounts: list[Mount] = field(default_factory=list)
    interlocks: list[tuple[str, str, Span]] = field(default_factory=list)
    rungs: list[tuple[Line, Section]] = field(default_factory=list)
    paths: list[tuple[Line, Section]] = field(default_factory=list)
    cables: dict[str, Cable] = field(default_factory=dict)
    wire_rules: list[WireRule] = field(default_factory=list)
    site: dict[str, SiteLine] = field(default_factory=dict)
    notes: list[Note] = field(default_factory=list)
    sentences: dict[str, list[Sentence]] = field(default_factory=lambda: {"promises": [], "assumptions": []})
    trials: list[tuple[Section, list[Step]]] = field(default_factory=list)
    devices_at: dict[str, Span] = field(default_factory=dict)  # places, each with the heading that names it first


def read(source: str | bytes, name: str = "panel") -> Reading:
    """Read a panel file.

    Returns: the circuit, with contacts not allotted yet, its problems in file order, and the document for `write`.
    Never raises, whatever the text or bytes.
    """
    text, problems = decode(source)
    lines, character_problems = split(text)
    draft = _Draft()
    draft.names.problems += problems + character_problems
    entries = _entries(lines, draft)
    standard = _standard(entries)
    section = Section("")
    for entry in entries:
        if entry.heading is not None:
            section = entry.heading
            if section.kind == "panel":
                draft.heading = replace(draft.heading, title=section.text)
            elif section.kind == "trial":
                draft.trials.append((section, []))
        elif entry.section and not entry.line.blank:
            _statement(entry.line, entry.section, section, draft, standard)
    circuit = _circuit(draft, entries)
    found = _ordered(draft.names.problems)
    return Reading(circuit, found, Document(tuple(entries)), name)


def _entries(lines: list[Line], draft: _Draft) -> list[Entry]:
    """Every statement with the section it belongs to; a rung may go on over several lines."""
    statements: list[tuple[list[Line], str, Section | None]] = []
    current = ""
    complained = False
    for line in lines:
        if line.blank:
            statements.append(([line], current, None))
            continue
        if current == "rungs" and line.goes_on and not statements[-1][0][0].blank and statements[-1][2] is None:
            statements[-1][0].append(line)
            continue
        section, problem = heading_of(line)
        if section is None and (problem := unknown_heading(line, current)) is not None:
            current, complained = "", True
        if problem is not None:
            draft.names.problems.append(problem)
        if section is not None:
            current = section.kind
        elif not current and not complained:
            complained = True
            draft.names.problems.append(_homeless(line))
        statements.append(([line], current, section))
    return [Entry(joined(rows), kind, heading) for rows, kind, heading in statements]


def _homeless(line: Line) -> Problem:
    return Problem(
        "PW013", "this line stands before the first heading", "a line is understood by the section that it stands in.",
        'start the file with panel "Name", then supplies, devices on plate, rungs from + to - and so on.',
        plain.words_of(line).whole,
    )  # fmt: skip


def _standard(entries: list[Entry]) -> str:
    found = next((e.line.text.split() for e in entries if e.section == "panel" and "symbols" in e.line.text), [])
    return "NA" if "NA" in found else "IEC"


def _statement(line: Line, kind: str, section: Section, draft: _Draft, standard: str) -> None:
    line, problems = mended(line, kind)
    draft.names.problems += problems
    if not plain.words_of(line).words:
        return
    if kind in ("devices", "supplies"):
        _device(line, kind, section, draft, standard)
    elif kind == "rungs":
        draft.rungs.append((line, section))
    elif kind == "power paths":
        draft.paths.append((line, section))
    elif kind in ("promises", "assumptions", "trial"):
        _sentence(line, kind, section, draft)
    else:
        _listed(line, kind, draft)


def _device(line: Line, kind: str, section: Section, draft: _Draft, standard: str) -> None:
    names = draft.names
    interlock = _INTERLOCK.match(line.text) if "interlocked" in line.text else None
    if interlock:
        draft.interlocks.append((interlock.group(1), interlock.group(2), line.span(*interlock.span(1))))
        return
    above = next(reversed(names.devices.values()), None)
    if "closed" in line.text and above is not None and (found := pattern_of(line, above)) is not None:
        device, problem = found
        names.devices[device.tag] = device
        names.problems += [problem] if problem else []
        return
    place = section.names[0] if kind == "devices" and section.names else "plate"
    reading = device_of(line, place, standard)
    names.problems += reading.problems
    if reading.device.tag not in names.devices or reading.device.kind:
        names.declare(reading.device)
    if kind == "devices" and place not in draft.devices_at:
        draft.devices_at[place] = section.span or plain.words_of(line).span(0)


def _sentence(line: Line, kind: str, section: Section, draft: _Draft) -> None:
    value, problem = parse(STARTS[kind], line.text, line.number)
    if problem is not None:
        draft.names.problems.append(problem)
    elif kind == "trial":
        draft.trials[-1][1].extend(value)
    else:
        draft.sentences[kind].append(value)


def _listed(line: Line, kind: str, draft: _Draft) -> None:
    problem: Problem | None
    if kind == "panel":
        draft.heading, problem = plain.setting(draft.heading, line)
    elif kind == "places":
        problem = _place(line, draft)
    elif kind == "cables":
        problem = _cable(line, draft)
    elif kind == "wires":
        rule, problem = plain.wire_rule(line)
        if rule is not None:
            draft.wire_rules.append(rule)
    elif kind == "sizing":
        problem = _site(line, draft)
    else:
        note, problem = plain.note(line)
        if note is not None:
            draft.notes.append(note)
    if problem is not None:
        draft.names.problems.append(problem)


def _place(line: Line, draft: _Draft) -> Problem | None:
    found, problem = plain.place(line)
    if isinstance(found, Place):
        draft.places.append(found)
        draft.names.places[found.name] = found.span or Span(line.number, 1)
    elif isinstance(found, Mount):
        draft.mounts.append(found)
    elif found is not None:
        number, _, tags = found
        for index, mount in enumerate(draft.mounts):
            if mount.kind == "rail" and mount.number == number:
                draft.mounts[index] = replace(mount, devices=(*mount.devices, *tags))
    return problem


def _site(line: Line, draft: _Draft) -> Problem | None:
    """A line under `sizing`; each thing is said once."""
    found, problem = site_line(line)
    if found is None:
        return problem
    before = draft.site.setdefault(found.name, found)
    if before is found or found.span is None or before.span is None:
        return problem
    return Problem(
        "PW037", f"{found.name} stands twice: {before.text} and {found.text}",
        "only one of them can hold; the first was taken.", "take one of the two lines away.", found.span,
        (("the first stands here", before.span),),
    )  # fmt: skip


def _cable(line: Line, draft: _Draft) -> Problem | None:
    found, problem = plain.cable(line)
    if isinstance(found, Cable):
        draft.cables[found.tag] = found
    elif found is not None:
        tag, core, span = found
        cable = draft.cables.get(tag)
        if cable is None:
            return Problem(
                "PW117", f"no cable called {tag}", "a core belongs to a cable that the file declares.",
                f"declare it above: {tag} cable 5 x 1.5 mm2 from ... to ...", span,
            )  # fmt: skip
        draft.cables[tag] = replace(cable, core_ends=(*cable.core_ends, core))
    return problem


def _circuit(draft: _Draft, entries: list[Entry]) -> Circuit:
    """The circuit, once every line is known: rungs and sentences may speak of devices declared below them."""
    names = draft.names
    names.clashes()
    _check_places(draft)
    paths = [p for line, section in draft.paths if (p := _read_path(line, section, names)) is not None]
    rungs = [r for line, section in draft.rungs if (r := rung_of(line, section, names)) is not None]
    names.points_like_rails()
    names.lonely_points()
    with_primaries(names, paths)
    supplies = [d for tag, d in names.devices.items() if tag in names.supplies]
    others = [d for tag, d in names.devices.items() if tag not in names.supplies]
    circuit = Circuit(
        draft.heading,
        tuple(draft.places),
        tuple(draft.mounts),
        (*supplies, *others),
        _interlocks(draft),
        tuple(rungs),
        tuple(paths),
        tuple(draft.cables.values()),
        tuple(draft.wire_rules),
        tuple(draft.notes),
        site=tuple(draft.site.values()),
    )
    lines = {entry.line.number: entry.line.text for entry in entries if entry.section in STARTS}
    meanings = Meanings(names, circuit, lines)
    whole = replace(
        circuit,
        assumptions=tuple(meanings.sentence(s) for s in draft.sentences["assumptions"]),
        promises=tuple(meanings.sentence(s) for s in draft.sentences["promises"]),
        trials=tuple(
            Trial(section.text, tuple(meanings.step(step) for step in steps), section.span)
            for section, steps in draft.trials
        ),
    )
    names.unknown_devices()
    return whole


def _interlocks(draft: _Draft) -> tuple[tuple[str, str], ...]:
    for one, other, span in draft.interlocks:
        for tag in (one, other):
            draft.names.device(tag, span)
    return tuple((one, other) for one, other, _ in draft.interlocks)


def _check_places(draft: _Draft) -> None:
    for place, span in draft.devices_at.items():
        if place not in draft.names.places and place not in _KNOWN_PLACES:
            draft.names.problems.append(
                Problem(
                    "PW032", f"the place {place} is not declared",
                    "door, plate and field need no declaring; any other place has to be told, so that a slip is seen.",
                    f'add a line under "places": {place} "where it is".', span,
                )
            )  # fmt: skip


def _read_path(line: Line, section: Section, names: Names) -> PowerPath | None:
    value, problem = parse("path", line.text, line.number)
    if problem is not None:
        names.problems.append(problem)
        names.not_read(line.text)
        return None
    if not section.names:  # its heading has been reported
        names.not_read(line.text)
        return None
    items: RawPath
    items, text = value
    return path_of(items, text, section, plain.words_of(line).whole, names)


def _ordered(problems: list[Problem]) -> tuple[Problem, ...]:
    """In file order, each once, at most MOST_PROBLEMS."""
    unique = list(dict.fromkeys(problems))
    unique.sort(key=lambda p: (p.span.line, p.span.column) if p.span else (0, 0))
    if len(unique) <= MOST_PROBLEMS:
        return tuple(unique)
    rest = Problem(
        "PW004", f"{len(unique) - MOST_PROBLEMS} more problems are not shown",
        "the first ones often cause the others.",
        "mend the first ones and look again.", unique[MOST_PROBLEMS].span,
    )  # fmt: skip
    return (*unique[:MOST_PROBLEMS], rest)


def read_steps(text: str, circuit: Circuit) -> tuple[tuple[Step, ...], tuple[Problem, ...]]:
    """Trial steps typed by hand ("press S2; wait 2 s; expect K1 in") for a circuit, and their problems."""
    names = Names(devices=dict(circuit.by_tag), rails={rail: Span(1, 1) for rail in circuit.rails})
    for point in circuit.points:
        names.point(point, None)
    lines, problems = split(text)
    names.problems += problems
    meanings = Meanings(names, circuit, {line.number: line.text for line in lines})
    steps: list[Step] = []
    for line in lines:
        if line.blank:
            continue
        value, problem = parse("steps", line.text, line.number)
        if problem is not None:
            names.problems.append(problem)
        else:
            steps += [meanings.step(step) for step in value]
    names.unknown_devices()
    return tuple(steps), _ordered(names.problems)
