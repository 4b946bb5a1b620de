"""Motor currents: full load by table or nameplate, and with the rotor held."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from ..catalog.quantities import WATTS_PER_HP
from .answers import Answer, Missing, Working, amount, in_amps, not_answered
from .asking import POSITIVE, asked, one_of
from .factors import factor, step
from .plates import Plate
from .regions import Region
from .tables import OutsideTable, TableRow, rows_of

FAR = 0.25  # a nameplate current this far from the table's is looked at again; our judgement
SAME_POWER = 1.03  # 3.7 kW is 5 hp: a rating that is this near is meant
CLAUSES = {"dc": "motor current dc", "single-phase": "motor current 1ph"}
FULL_LOAD, HELD = "full-load current", "current with the rotor held"


class ThreePhaseRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Amperes of one rating by voltage."""

    hp: float
    a_115v: float | None = None
    a_200v: float | None = None
    a_208v: float | None = None
    a_230v: float | None = None
    a_460v: float | None = None
    a_575v: float | None = None
    a_2300v: float | None = None


class SynchronousRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Amperes of one rating of synchronous motor at unity power factor, by voltage."""

    hp: float
    a_230v: float | None = None
    a_460v: float | None = None
    a_575v: float | None = None
    a_2300v: float | None = None


class DcRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Amperes of one rating by voltage of the armature."""

    hp: float
    a_90v: float | None = None
    a_120v: float | None = None
    a_180v: float | None = None
    a_240v: float | None = None
    a_500v: float | None = None
    a_550v: float | None = None


class GuideRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Guide amperes of one rating in kW."""

    kw: float
    a_230v: float
    a_400v: float
    a_500v: float
    a_690v: float


GUIDE_COLUMNS = tuple(int(name[2:-1]) for name in GuideRow.__struct_fields__ if name.startswith("a_"))


class ColumnRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """The system voltages that a column serves."""

    column_v: int
    from_v: float
    to_v: float


class CodeRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """kVA for each horsepower with the rotor held."""

    letter: str
    kva_per_hp_min: float
    kva_per_hp_max: float | None = None


@dataclass(frozen=True, slots=True)
class Current:
    """A current, how it was found, and what is wanting when it was not. `by`: "table", "nameplate", "guide" ..."""

    amps: float | None
    by: str
    workings: tuple[Working, ...] = ()
    missing: tuple[Missing, ...] = ()


def full_load(plate: Plate, region: Region) -> Current:
    """The current that conductors, switches and branch protection are chosen by.

    NEC: the table current (430.6(A)(1)); the nameplate for slow, multispeed and torque motors and where the table ends.
    IEC: the nameplate, the guide value where it is not said.
    """
    return _nec_full_load(plate, region) if region.family == "NEC" else _iec_full_load(plate, region)


@asked(hp=POSITIVE, volts=POSITIVE, phases=one_of((3, 1)))
def table_amps(hp: float, volts: float, *, phases: int = 3, dc: bool = False) -> float:
    """The full-load current of the NEC's motor tables. Raises: OutsideTable where they have none."""
    kind = "dc" if dc else "single-phase" if phases == 1 else "three-phase"
    plate = Plate("motor", "motor", "", kind, "", "", (), volts, f"{volts:g} V", hp * WATTS_PER_HP, f"{hp:g} hp")
    found = _table_cell(plate)
    if found is None:
        raise OutsideTable(_outside(plate))
    return found[0]


@asked(hp=POSITIVE, volts=POSITIVE, power_factor=one_of((1.0, 0.9, 0.8)))
def synchronous_amps(hp: float, volts: float, *, power_factor: float = 1.0) -> float:
    """Full-load current of a synchronous motor at a power factor of 1, 0.9 or 0.8.

    Raises: AskedWrongly for others, OutsideTable. Source: NEC Table 430.250, right-hand part: 1.1 times at 0.9, 1.25
    times at 0.8.
    """
    times = 1.0 if power_factor == 1 else factor(f"synchronous at {power_factor:g}").value
    plate = Plate("motor", "motor", "", "three-phase", "", "", (), volts, "", hp * WATTS_PER_HP, "")
    found = _cell(plate, rows_of("motor_current_synchronous", SynchronousRow), _columns())
    if found is None:
        raise OutsideTable(_outside(plate))
    return found[0] * times


def _outside(plate: Plate) -> str:
    """What the tables have instead of a rating that they lack."""
    columns = _columns(dc=plate.kind == "dc")
    spans = [f"{low:g}" if low == high else f"{low:g} to {high:g}" for _, low, high in columns]
    volts = ", ".join(str(name) for name, _, _ in columns) if plate.kind == "dc" else ", ".join(spans)
    return (
        f"the motor tables have no {_hp(plate.hp)} at {plate.volts:g} V; their columns serve {volts} V. "
        "Take the current from the nameplate"
    )


def full_load_answer(plate: Plate, current: Current) -> Answer:
    """The current as an answer; a table current that is far from the nameplate is pointed at."""
    if current.amps is None:
        return not_answered(plate.name, FULL_LOAD, current.missing, current.workings)
    warnings: tuple[str, ...] = ()
    if plate.plate_a and current.by != "nameplate" and abs(plate.plate_a / current.amps - 1) >= FAR:
        warnings = (
            f"nameplate {plate.plate_text} and {current.by} {in_amps(current.amps)} differ by more than a quarter: "
            "look at power, voltage and nameplate again",
        )
    return Answer(
        plate.name, FULL_LOAD, in_amps(current.amps), current.amps, "A", current.workings, warnings=warnings,
    )  # fmt: skip


def _nec_full_load(plate: Plate, region: Region) -> Current:
    rule = region.clause("motor current")
    slow = factor("slow motor").value
    if plate.rpm is not None and plate.rpm < slow:
        return _nameplate(plate, rule, f"{amount(plate.rpm)} rpm is below {slow:g} rpm: nameplate and not table")
    if plate.device_kind == "two-speed motor":
        return _nameplate(plate, rule, "several speeds: nameplate and not table")
    if not plate.watts:
        return Current(None, "", missing=(_no_power(plate),))
    found = _table_cell(plate)
    if found is None:
        return _nameplate(plate, rule, f"the tables have no {plate.power_text} at {plate.volts_text}")
    amps, hp, column, row = found
    clause = region.clause(CLAUSES.get(plate.kind, "motor current 3ph"))
    words = f"{_hp(hp)} in the {column} V column: {in_amps(amps)}"
    if abs(plate.hp / hp - 1) > SAME_POWER - 1:
        words = f"{plate.power_text}, next rating up: {words}"
    elif not plate.in_hp:
        words = f"{plate.power_text} is {amount(plate.hp, 'hp', 3)}: {words}"
    return Current(amps, "table", (step(words, row, clause),))


def _table_cell(plate: Plate) -> tuple[float, float, int, TableRow] | None:
    """(amperes, hp, column, row) of the rating at or above the motor's; None where the table has none."""
    if plate.kind == "dc":
        return _cell(plate, rows_of("motor_current_dc", DcRow), _columns(dc=True))
    name = "motor_current_1ph" if plate.phases == 1 else "motor_current_3ph"
    return _cell(plate, rows_of(name, ThreePhaseRow), _columns())


def voltage_column(volts: float) -> int | None:
    """The column of the motor tables that serves a system voltage: 460 for 480 V."""
    return next((name for name, low, high in _columns() if low <= volts <= high), None)


def _columns(*, dc: bool = False) -> list[tuple[int, float, float]]:
    rows = rows_of("voltage_columns_dc" if dc else "voltage_columns", ColumnRow)
    return [(row.column_v, row.from_v, row.to_v) for row in rows]


def _cell(
    plate: Plate, rows: tuple[ThreePhaseRow | DcRow | SynchronousRow, ...], columns: list[tuple[int, float, float]]
) -> tuple[float, float, int, TableRow] | None:
    column = next((name for name, low, high in columns if low <= plate.volts <= high), None)
    row = next((row for row in rows if row.hp * SAME_POWER >= plate.hp), None)
    amps: float | None = getattr(row, f"a_{column}v", None) if column and row else None
    return (amps, row.hp, column, row) if amps and row and column else None


def _nameplate(plate: Plate, rule: str, why: str) -> Current:
    if plate.plate_a is None:
        line = f"{plate.line}  7.6 A"
        return Current(None, "", missing=(Missing(f"nameplate current of {plate.name}", why, line),))
    return Current(plate.plate_a, "nameplate", (Working(f"{why}: {plate.plate_text}", rule, "the panel file"),))


def _no_power(plate: Plate) -> Missing:
    line = f"{plate.line}  5 hp"
    return Missing(f"power of {plate.name}", "the table current is found by horsepower and voltage", line)


def _iec_full_load(plate: Plate, region: Region) -> Current:
    if plate.plate_a is not None:
        words = f"nameplate {plate.plate_text}"
        return Current(plate.plate_a, "nameplate", (Working(words, "", "the panel file"),))
    if plate.watts and plate.power_factor and plate.efficiency:
        return _from_power(plate, plate.power_factor, plate.efficiency)
    rows = rows_of("motor_current_iec", GuideRow)
    row = next((row for row in rows if row.kw * 1000 * SAME_POWER >= plate.watts), None)
    if not plate.watts or row is None or plate.phases != 3:
        line = f"{plate.line}  2.1 A"
        why = "there is no guide value for it" if plate.watts else "it is neither said nor can it be told from a power"
        return Current(None, "", missing=(Missing(f"nameplate current of {plate.name}", why, line),))
    near = min(GUIDE_COLUMNS, key=lambda volts: abs(volts - plate.volts))
    guide: float = getattr(row, f"a_{near}v")
    amps = guide * near / plate.volts
    words = f"{amount(row.kw, 'kW')} at {near} V: {in_amps(guide)}"
    if near != plate.volts:
        words += f"; at {plate.volts_text} {amount(guide)} A x {near} / {amount(plate.volts)} = {in_amps(amps)}"
    return Current(amps, "guide", (step(words, row, region.clause("motor current")),))


def _from_power(plate: Plate, power_factor: float, efficiency: float) -> Current:
    """P / (1.732 V x power factor x efficiency), without 1.732 for one phase."""
    root, words = (sqrt(3), "1.732 x ") if plate.phases == 3 else (1.0, "")
    amps = plate.watts / (root * plate.volts * power_factor * efficiency)
    text = f"{plate.power_text} / ({words}{plate.volts_text} x {power_factor:g} x {efficiency:g}) = {in_amps(amps)}"
    return Current(amps, "power", (Working(text, "", "power factor and efficiency of the nameplate"),))


# ---- with the rotor held
def held_rotor(plate: Plate, full: Current, region: Region) -> Current:
    """The current of a standing motor at full voltage: by nameplate, code letter (top of its band), table or factor."""
    if plate.locked_rotor_a is not None:
        words = f"nameplate: {in_amps(plate.locked_rotor_a)}"
        return Current(plate.locked_rotor_a, "nameplate", (Working(words, "", "the panel file"),))
    coded = by_code_letter(plate.hp, plate.volts, plate.code, plate.phases) if plate.watts and plate.code else None
    if coded is not None:
        amps, row = coded
        root = "1.732 x " if plate.phases == 3 else ""
        words = (
            f"code {plate.code}, top of the band: {_hp(plate.hp)} x {row.kva_per_hp_max:g} kVA/hp x 1000 / "
            f"({root}{amount(plate.volts, 'V')}) = {in_amps(amps)}"
        )
        return Current(amps, "code letter", (step(words, row),))
    if plate.watts and region.family == "NEC" and plate.kind != "dc" and (found := _held_cell(plate)) is not None:
        amps, hp, column, table_row = found
        words = f"{_hp(hp)} in the {column} V column: {in_amps(amps)}"
        clause = region.clause("locked rotor 3ph" if plate.phases == 3 else "locked rotor 1ph")
        return Current(amps, "table", (step(words, table_row, clause),))
    if full.amps is None:
        return Current(None, "", missing=full.missing)
    times = factor("starting current")
    amps = full.amps * times.value
    words = f"{in_amps(full.amps)} x {times.value:g} = {in_amps(amps)}"
    return Current(amps, "usual factor", (step(words, times),))


@asked(hp=POSITIVE, volts=POSITIVE, phases=one_of((3, 1)))
def by_code_letter(hp: float, volts: float, letter: str, phases: int = 3) -> tuple[float, CodeRow] | None:
    """Largest locked-rotor amperes of a code letter: hp x kVA/hp x 1000 / (1.732 V), without 1.732 for one phase.

    None for a letter that is not used, and for V, whose band has no top. Source: NEC Table 430.7(B).
    """
    row = next((row for row in rows_of("code_letters", CodeRow) if row.letter == letter.upper()), None)
    if row is None or row.kva_per_hp_max is None:
        return None
    root = sqrt(3) if phases == 3 else 1.0
    return hp * row.kva_per_hp_max * 1000 / (root * volts), row


def _held_cell(plate: Plate) -> tuple[float, float, int, TableRow] | None:
    rows = rows_of("locked_rotor_3ph" if plate.phases == 3 else "locked_rotor_1ph", ThreePhaseRow)
    return _cell(plate, rows, _columns())


def _hp(hp: float) -> str:
    thirds = {0.167: "1/6", 0.25: "1/4", 0.333: "1/3", 0.5: "1/2", 0.75: "3/4"}
    near = next((text for value, text in thirds.items() if abs(hp - value) < 0.002), None)
    return f"{near or amount(hp)} hp"


__all__ = [
    "FULL_LOAD", "HELD", "WATTS_PER_HP", "Current", "by_code_letter", "full_load", "full_load_answer", "held_rotor",
]  # fmt: skip
