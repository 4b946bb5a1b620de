"""Contactors and disconnects: by NEMA size and horsepower, by utilisation category, by amperes."""

from __future__ import annotations

from dataclasses import replace

from .answers import Allowed, Answer, Fitted, Missing, Working, amount, in_amps, line_with, not_answered
from .asking import POSITIVE, asked, one_of
from .factors import factor, step
from .job import Job
from .motors import Current, held_rotor, voltage_column
from .plates import Plate
from .protection import rating_of, usual_size
from .routes import Route, Stop
from .tables import TableRow, rows_of

CONTACTOR, DISCONNECT = "contactor", "disconnect"
CONTACTORS = ("contactor", "latched contactor")
SWITCHES = ("disconnect",)
AC_3 = "AC-3 contactor"
SINGLE_COLUMNS = {115: "hp_115", 200: "hp_230", 208: "hp_230", 230: "hp_230"}  # column of the motors: of contactors
THREE_COLUMNS = {200: "200", 208: "200", 230: "230", 460: "460", 575: "460"}
ROOM = 1.03  # a rating in kW or hp this near is meant


class NemaRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Horsepower of one size by voltage."""

    size: str
    hp_200: float | None = None
    hp_230: float | None = None
    hp_460: float | None = None


class NemaAmpsRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Amperes that one size carries for good in an enclosure."""

    size: str
    cont_a: float


class NemaSingleRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Horsepower of one size on one phase."""

    size: str
    hp_115: float
    hp_230: float


@asked(hp=POSITIVE, volts=POSITIVE, phases=one_of((3, 1)))
def nema_size(hp: float, volts: float, *, phases: int = 3, jogging: bool = False) -> tuple[str, TableRow, float] | None:
    """(size, row, its horsepower) of the smallest contactor; None where the table has none. Source: NEMA ICS 2."""
    column = voltage_column(volts)
    if phases == 1:
        name = SINGLE_COLUMNS.get(column or 0, "")
        singles = rows_of("contactors_nema_1ph", NemaSingleRow)
        found = next((row for row in singles if name and getattr(row, name) * ROOM >= hp), None)
        return (found.size, found, getattr(found, name)) if found and not jogging else None
    volt = THREE_COLUMNS.get(column or 0, "")
    if not volt:
        return None
    for row in rows_of("contactors_nema_jogging" if jogging else "contactors_nema", NemaRow):
        rated: float | None = getattr(row, f"hp_{volt}")
        if rated is not None and rated * ROOM >= hp:
            return row.size, row, rated
    return None


def contactor_answers(route: Route, current: Current, job: Job) -> tuple[Answer, ...]:
    """One answer for each contactor on the way."""
    stops = route.every(*CONTACTORS)
    if current.amps is None:
        return (not_answered(route.plate.name, CONTACTOR, current.missing),) if stops else ()
    if not job.american:
        found = [_iec_contactor(stop, current.amps, route.plate, job, stop is stops[0]) for stop in stops]
        return tuple(_asked(a, stop, "") for a, stop in zip(found, stops, strict=True))
    found = [_nema_contactor(stop, current.amps, route.plate, job) for stop in stops]
    return tuple(_asked(a, stop, a.choice.removeprefix("NEMA ")) for a, stop in zip(found, stops, strict=True))


def _asked(answer: Answer, stop: Stop, usual: str) -> Answer:
    """The answer; where the file does not say how large the contactor is, with the line that would tell it."""
    if answer.fitted is not None:
        return answer
    tag = stop.device.tag
    line = line_with(stop.device, usual if usual.startswith("size") else in_amps(usual_size(AC_3, answer.value or 0.0)))
    missing = Missing(f"size of {tag}", "only what a contactor is rated for can be compared with its motor", line)
    return replace(answer, fitted=Fitted(tag, None, "how large it is is not said"), missing=(missing,))


def _nema_contactor(stop: Stop, amps: float, plate: Plate, job: Job) -> Answer:
    jogging = "jogging" in plate.words
    own = amps * stop.share
    rated_hp = plate.watts > 0 and plate.kind != "dc"
    found = nema_size(plate.hp, plate.volts, phases=plate.phases, jogging=jogging) if rated_hp else None
    if found is None or stop.share != 1:
        words = f"carries {in_amps(own)}" + ("" if stop.share == 1 else f" = {stop.share:g} x {in_amps(amps)}")
        return Answer(
            stop.device.tag, CONTACTOR,
            f"horsepower-rated for {plate.power_text or 'the motor'}, {in_amps(own)} at least", own, "A",
            (Working(words, job.region.clause("controller"), "NEC 430.83", "from memory"),), fitted=_by_amps(stop, own),
        )  # fmt: skip
    size, row, rated = found
    duty = "plugging or jogging" if jogging else "full voltage, little jogging"
    words = f"size {size}: {amount(rated, 'hp')} at {plate.volts_text} ({duty})"
    return Answer(
        stop.device.tag, CONTACTOR, f"NEMA size {size}", None, "", (step(words, row),), (),
        _nema_fitted(stop, size, own),
        () if jogging else ("if the motor is jogged, inched or plugged, say so (jogging): a larger size is needed",),
    )  # fmt: skip


def _nema_fitted(stop: Stop, size: str, own: float) -> Fitted | None:
    said = _nema_said(stop)
    if not said:
        return _by_amps(stop, own)
    order = [row.size for row in rows_of("contactors_nema", NemaRow)]
    fits = order.index(said) >= order.index(size)
    return Fitted(f"{stop.device.tag} NEMA size {said}", fits, "" if fits else f"size {size} is needed")


def _nema_said(stop: Stop) -> str:
    """The NEMA size that the file gives a contactor, "" for none."""
    facts = stop.device.facts
    return next((fact.name.removeprefix("size ") for fact in facts if fact.name.startswith("size ")), "")


def _by_amps(stop: Stop, own: float) -> Fitted | None:
    """Its rated amperes, else what its NEMA size carries, against what flows through it."""
    said, rating, text, checked = _nema_said(stop), rating_of(stop.device), "", ""
    if rating is None and said:
        row = next(row for row in rows_of("contactors_nema_amps", NemaAmpsRow) if row.size == said)
        rating, text, checked = row.cont_a, f"NEMA size {said}, ", f" ({row.cited})"
    if rating is None:
        return None
    fits = rating + 1e-9 >= own
    why = f"{'at least' if fits else 'less than'} {in_amps(own)}{checked}"
    return Fitted(f"{stop.device.tag} {text}{in_amps(rating)}", fits, why)


def _iec_contactor(stop: Stop, amps: float, plate: Plate, job: Job, first: bool) -> Answer:
    own = amps * stop.share
    category = _category(plate)
    words = (
        f"{stop.share:g} x {in_amps(amps)} = {in_amps(own)}" if stop.share != 1 else f"{_does(category)} {in_amps(own)}"
    )
    steps: tuple[Working, ...] = (Working(words, job.region.clause("controller"), "IEC 60947-4-1", "from memory"),)
    choice = f"{in_amps(own)} at least in {category}"
    fitted = _by_amps(stop, own)
    if category in AS_AC_3:
        also = (Allowed("AC-4", "if the motor is jogged, inched or plugged (say so: jogging)"),) if first else ()
        choice = f"{choice}, usual size {in_amps(usual_size(AC_3, own))}"
        return Answer(stop.device.tag, CONTACTOR, choice, own, "A", steps, also if category == "AC-3" else (), fitted)
    held = factor("starting current")
    if category == "AC-4":
        steps += (step(f"jogged, it breaks the starting current: {held.value:g} x {in_amps(own)} each time", held),)
    if fitted is not None and fitted.fits:
        fitted = replace(fitted, fits=None, why=f"its rating in {category} is not said, and is another than in AC-3")
    warnings = (f"by the maker's table for {category}: the usual sizes are those of AC-3",)
    return Answer(stop.device.tag, CONTACTOR, choice, own, "A", steps, (), fitted, warnings)


AS_AC_3 = ("AC-3", "AC-2")  # categories in which contactors have the sizes of AC-3


def _does(category: str) -> str:
    return "carries" if category == "AC-4" else "breaks"


def _category(plate: Plate) -> str:
    """The utilisation category of a motor's contactor. Source: IEC 60947-4-1 Table 1."""
    if plate.kind == "dc":
        return "DC-5" if "jogging" in plate.words else "DC-3"
    if "jogging" in plate.words:
        return "AC-4"
    return "AC-2" if plate.kind == "wound-rotor" else "AC-3"


def disconnect_answer(route: Route, current: Current, job: Job) -> Answer:
    """The disconnect on the way of a motor."""
    if current.amps is None:
        return not_answered(route.plate.name, DISCONNECT, current.missing)
    if job.american:
        return _nec_disconnect(route, current, current.amps, job)
    return _iec_disconnect(route, current.amps, job)


def _nec_disconnect(route: Route, current: Current, amps: float, job: Job) -> Answer:
    row = factor("disconnect")
    least = amps * row.value
    steps = [step(f"{in_amps(amps)} x {row.value:g} = {in_amps(least)}", row, job.region.clause("disconnect"))]
    held = held_rotor(route.plate, current, job.region)
    if held.amps is not None:
        words, last = f"rated in horsepower: breaks {in_amps(held.amps)} with the rotor held", held.workings[-1]
        steps.append(Working(words, job.region.clause("disconnect hp"), last.source, last.trust))
    power = route.plate.power_text or "the horsepower of the motor"
    choice = f"at least {in_amps(least)} and {power}: {in_amps(usual_size('enclosed switch', least))} switch"
    fitted = switch_fitted(route.first(*SWITCHES), least)
    return Answer(route.plate.name, DISCONNECT, choice, least, "A", tuple(steps), fitted=fitted)


def _iec_disconnect(route: Route, amps: float, job: Job) -> Answer:
    size = usual_size("switch-disconnector", amps)
    steps = (Working(f"carries {in_amps(amps)}", job.region.clause("disconnect"), "IEC 60204-1", "from memory"),)
    fitted = switch_fitted(route.first(*SWITCHES), amps)
    choice = f"{in_amps(size)} in AC-23 (motor), lockable"
    return Answer(route.plate.name, DISCONNECT, choice, size, "A", steps, fitted=fitted)


def switch_fitted(stop: Stop | None, least: float, none: str = "none is in the file") -> Fitted:
    """The switch of the file against the least amps. `none`: what to say where there is none."""
    if stop is None:
        return Fitted("no disconnect", None, f"{none}; it may stand elsewhere")
    rating = rating_of(stop.device)
    if rating is None:
        return Fitted(stop.device.tag, None, "its rating is not said")
    fits = rating + 1e-9 >= least
    return Fitted(f"{stop.device.tag} {in_amps(rating)}", fits, f"{'at least' if fits else 'below'} {in_amps(least)}")
