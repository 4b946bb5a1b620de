"""Contacts: what each really makes and breaks, against its rating code or utilisation category."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from ..catalog.shelf import shelf
from ..circuit import Contact, Device
from .answers import Answer, Fitted, Working, amount
from .asking import NOT_NEGATIVE, POSITIVE, asked, one_of, wrongly
from .control_circuits import ControlCircuit, figured
from .factors import factor
from .tables import TableRow, rows_of

QUESTION = "contact rating"
_CODE = re.compile(r"\b[A-EN-R](?:150|300|600)\b")
_CATEGORY = re.compile(r"\b((?:AC|DC)-1[2-5])\s+([\d.]+)\s*(m?A)\b")
SAFE = 1 + 1e-9


class AcCodeRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What a code makes and breaks on ac."""

    code: str
    most_v: float
    thermal_a: float
    make_120: float
    break_120: float
    make_240: float | None = None
    break_240: float | None = None
    make_480: float | None = None
    break_480: float | None = None
    make_600: float | None = None
    break_600: float | None = None
    make_va: float
    break_va: float


class DcCodeRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What a code makes and breaks on dc."""

    code: str
    most_v: float
    thermal_a: float
    amps_125: float
    amps_250: float | None = None
    amps_600: float | None = None
    va: float


class CategoryRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A utilisation category."""

    category: str
    current: str
    use: str
    make: float
    break_: float = 1.0
    power_factor: float | None = None


class TypicalRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Usual ratings of the contacts of a group of kinds."""

    figures: str
    ac_code: str
    dc_code: str
    least_v: float
    least_a: float


CODE_TABLES: tuple[tuple[type[AcCodeRow | DcCodeRow], str], ...] = (
    (AcCodeRow, "contact_codes_ac"),
    (DcCodeRow, "contact_codes_dc"),
)


@dataclass(frozen=True, slots=True)
class Capacity:
    """What a contact makes, breaks and carries at some volts, amperes. `name`: code or category."""

    name: str
    make_a: float
    break_a: float
    carry_a: float
    row: TableRow

    def bears(self, make_a: float, break_a: float) -> bool:
        """Whether it makes the one and breaks and carries the other."""
        return make_a <= self.make_a * SAFE and break_a <= min(self.break_a, self.carry_a) * SAFE


# ---- single questions
@asked(volts=POSITIVE)
def code_capacity(code: str, volts: float) -> Capacity | None:
    """What a rating code ("A300", "R150") allows at some volts; None above its voltage. Raises: AskedWrongly.

    ac: up to 120 V the amperes of 120 V, then VA / V. dc: VA / V, never above the thermal current.
    """
    for row in rows_of("contact_codes_ac", AcCodeRow):
        if row.code == code:
            return _ac_capacity(row, volts)
    for dc_row in rows_of("contact_codes_dc", DcCodeRow):
        if dc_row.code == code:
            return _dc_capacity(dc_row, volts)
    codes = (row.code for kind, name in CODE_TABLES for row in rows_of(name, kind))
    raise wrongly("code_capacity", "code", code, one_of(codes))


def _ac_capacity(row: AcCodeRow, volts: float) -> Capacity | None:
    if volts > row.most_v:
        return None
    if volts <= 120:
        return Capacity(row.code, row.make_120, row.break_120, row.thermal_a, row)
    listed_make = {240.0: row.make_240, 480.0: row.make_480, 600.0: row.make_600}.get(volts)
    listed_break = {240.0: row.break_240, 480.0: row.break_480, 600.0: row.break_600}.get(volts)
    make = listed_make if listed_make is not None else row.make_va / volts
    breaks = listed_break if listed_break is not None else row.break_va / volts
    return Capacity(row.code, make, breaks, row.thermal_a, row)


def _dc_capacity(row: DcCodeRow, volts: float) -> Capacity | None:
    if volts > row.most_v:
        return None
    if volts > 300 and row.amps_600 is not None:
        amps = row.amps_600
    else:
        listed = {125.0: row.amps_125, 250.0: row.amps_250}.get(volts)
        amps = listed if listed is not None else min(row.va / volts, row.thermal_a)
    return Capacity(row.code, amps, amps, row.thermal_a, row)


@asked(rated_a=POSITIVE)
def category_capacity(category: str, rated_a: float) -> Capacity:
    """What a utilisation category allows with a rated current. Raises: AskedWrongly."""
    for row in rows_of("utilisation", CategoryRow):
        if row.category == category:
            name = f"{category} {amount(rated_a, 'A')}"
            return Capacity(name, row.make * rated_a, row.break_ * rated_a, rated_a, row)
    rows = rows_of("utilisation", CategoryRow)
    raise wrongly("category_capacity", "category", category, one_of(row.category for row in rows))


@asked(volts=POSITIVE, make_a=NOT_NEGATIVE, break_a=NOT_NEGATIVE)
def smallest_code(volts: float, make_a: float, break_a: float, *, dc: bool) -> Capacity | None:
    """The code of the lowest class that bears a load; None beyond all of them."""
    if dc:
        found_rows = sorted((row.va, row.most_v, row.code) for row in rows_of("contact_codes_dc", DcCodeRow))
    else:
        found_rows = sorted((row.make_va, row.most_v, row.code) for row in rows_of("contact_codes_ac", AcCodeRow))
    for _, _, code in found_rows:
        found = code_capacity(code, volts)
        if found is not None and found.bears(make_a, break_a):
            return found
    return None


def rated_in_category(volts: float, make_a: float, break_a: float, *, dc: bool) -> tuple[str, float, Working]:
    """The utilisation category of an electromagnetic load, the least rated current in it, and how that was found.

    ac: AC-14 up to 72 VA, AC-15 above; dc: DC-13.
    """
    name = "DC-13" if dc else "AC-14" if break_a * volts <= factor("small magnet").value else "AC-15"
    row = next(row for row in rows_of("utilisation", CategoryRow) if row.category == name)
    rated_a = max(break_a / row.break_, make_a / row.make)
    return name, rated_a, figured(f"{name} makes {row.make:g} x and breaks {row.break_:g} x its rated current", row)


# ---- from a circuit
@dataclass(frozen=True, slots=True)
class ContactLoad:
    """The most that a contact makes and breaks over everything that was solved, amperes; and the least it carries."""

    element: str
    device: Device
    make_a: float
    break_a: float
    least_a: float


def contact_loads(circuit: ControlCircuit) -> tuple[ContactLoad, ...]:
    """The load of every contact of the circuit that ever carries current, poles for motors left out."""
    contacts = [w for w in circuit.structure.wired if isinstance(w.part, Contact) and not w.part.main]
    make: dict[str, float] = {}
    breaks: dict[str, float] = {}
    least: dict[str, float] = {}
    for together, solution in circuit.solved:
        for wired in contacts:
            amps = solution.amps(wired.id)
            value = abs(amps.dc) if circuit.is_dc else amps.ac_effective
            if value < 1e-6:
                continue
            make[wired.id] = max(make.get(wired.id, 0.0), value)
            least[wired.id] = min(least.get(wired.id, value), value)
            if not together.pulling:
                breaks[wired.id] = max(breaks.get(wired.id, 0.0), value)
    return tuple(
        ContactLoad(w.id, w.device, make[w.id], breaks.get(w.id, 0.0), least[w.id]) for w in contacts if w.id in make
    )


def contact_answers(circuit: ControlCircuit) -> Iterator[Answer]:
    """One answer for each device, for its hardest worked contact."""
    hardest: dict[str, ContactLoad] = {}
    for load in contact_loads(circuit):
        before = hardest.get(load.device.tag)
        if before is None or (load.break_a, load.make_a) > (before.break_a, before.make_a):
            hardest[load.device.tag] = load
    for load in hardest.values():
        if not any(part.name == "leakage" for part in load.device.parts):  # an electronic output has no contact
            yield _answer(circuit, load)


def _answer(circuit: ControlCircuit, load: ContactLoad) -> Answer:
    volts, unit = circuit.volts, circuit.unit
    needed = smallest_code(volts, load.make_a, load.break_a, dc=circuit.is_dc)
    makes, breaks = (
        f"{amount(amps, 'A', 3)} ({amount(amps * volts, unit, 3)})" for amps in (load.make_a, load.break_a)
    )
    does = f"makes and breaks {makes}" if makes == breaks else f"makes {makes}, breaks {breaks}"
    words = f"{load.element} {does} at {volts:g} V {circuit.source.current}"
    workings = [Working(words, source="solved circuit", trust="common practice")]
    if needed is not None:
        workings.append(figured(f"{needed.name}: {_told(needed)} at {volts:g} V {circuit.source.current}", needed.row))
    choice = f"{needed.name} or better" if needed else f"a contactor: {amount(load.break_a, 'A', 3)} at {volts:g} V"
    if circuit.job.region.family == "IEC":
        category, rated_a, working = rated_in_category(volts, load.make_a, load.break_a, dc=circuit.is_dc)
        workings.append(working)
        choice = f"{category} {amount(rated_a, 'A', 3)} at {volts:g} V" + (
            f" ({needed.name}) or better" if needed else ""
        )
    fitted, warnings = _fitted(circuit, load), _too_little(circuit, load)
    if circuit.looked_at:
        warnings += (circuit.looked_at,)
    return Answer(load.device.tag, QUESTION, choice, load.break_a, "A", tuple(workings), (), fitted, warnings)


def _too_little(circuit: ControlCircuit, load: ContactLoad) -> tuple[str, ...]:
    """Whether the load is too small for a plain contact."""
    typical = typical_of(load.device)
    if typical is None or (load.make_a >= typical.least_a and circuit.volts >= typical.least_v):
        return ()
    least = f"{typical.least_v:g} V, {amount(1000 * typical.least_a, 'mA')}"
    have = f"{amount(load.least_a * 1000, 'mA', 3)} at {circuit.volts:g} V"
    return (f"{have} is little for a plain contact (needs {least}): gold contacts, or more load",)


def _fitted(circuit: ControlCircuit, load: ContactLoad) -> Fitted | None:
    """What the device has, said or typical, against its load."""
    tag, typical = load.device.tag, typical_of(load.device)
    said = next((fact.text for fact in load.device.facts if fact.name == QUESTION), "")
    found = rated_of(said, circuit.volts, circuit.is_dc) if said else None
    if said and found is None:
        return Fitted(f"{tag} {said}", False, f"not made for {circuit.volts:g} V {circuit.source.current}")
    name = f"{tag} {found.name}" if found else ""
    if found is None and typical is not None:
        code = typical.dc_code if circuit.is_dc else typical.ac_code
        found, name = code_capacity(code, circuit.volts), f"{tag} {code} ({typical.source})"
    if found is None:
        return None
    fits = found.bears(load.make_a, load.break_a)
    return Fitted(name, fits, "" if fits else _told(found))


def _told(found: Capacity) -> str:
    figures = (("makes", found.make_a), ("breaks", found.break_a), ("carries", found.carry_a))
    return ", ".join(f"{does} {amount(amps, 'A', 3)}" for does, amps in figures)


def rated_of(text: str, volts: float, dc: bool) -> Capacity | None:
    """The best that a device line says of its contacts ("rated A300 DC-13 1 A") for these volts and kind of current."""
    found: list[Capacity] = []
    for code in _CODE.findall(text.upper()):
        is_dc_code = code[0] in "NPQR"
        if is_dc_code == dc and (capacity := code_capacity(code, volts)) is not None:
            found.append(capacity)
    for category, number, unit in _CATEGORY.findall(text):
        if category.startswith("DC") == dc:
            found.append(category_capacity(category, float(number) / (1000 if unit == "mA" else 1)))
    return max(found, key=lambda one: one.break_a, default=None)


def typical_of(device: Device) -> TypicalRow | None:
    kind = shelf().kinds.get(device.kind)
    groups = kind.figures if kind else ()
    return next((row for row in rows_of("typical_contacts", TypicalRow) if row.figures in groups), None)
