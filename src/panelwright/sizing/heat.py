"""Heat in an enclosure: what its devices give off, how much warmer that makes it, the air that a fan has to move."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ..catalog.site import MaterialRow, StandingRow, named, site_words
from ..circuit import Device, Load
from .answers import Answer, Fitted, Missing, Working, amount, not_answered
from .asking import NOT_NEGATIVE, POSITIVE, asked
from .factors import factor
from .job import Job
from .motors import Current
from .protection import rating_of
from .routes import Route
from .site import Enclosure
from .tables import TableRow, rows_of

LOSSES, INSIDE, FAN = "heat given off", "temperature inside", "air for a fan"
FT2_M2 = 0.09290304
OUTSIDE = ("field",)


class HeatRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Watts of each pole at a rated current."""

    kind: str
    watts_per_pole: float
    rated_a: float


@asked(watts=NOT_NEGATIVE, surface_m2=POSITIVE, w_m2_k=POSITIVE)
def rise_k(watts: float, surface_m2: float, w_m2_k: float) -> float:
    """How much warmer a sealed enclosure gets, kelvin: P / (k A)."""
    return watts / (w_m2_k * surface_m2)


def surface_m2(box: Enclosure, standing: StandingRow) -> float:
    """Effective cooling surface. Source: IEC TR 60890 (from memory)."""
    h, w, d = box.height_m, box.width_m, box.depth_m
    return standing.hw * h * w + standing.hd * h * d + standing.wd * w * d


@asked(watts=NOT_NEGATIVE, area_ft2=POSITIVE)
def rise_f(watts: float, area_ft2: float) -> float:
    """Rise in Fahrenheit by the North American charts: 4.08 W/ft2 + 1.1. Source: enclosure makers' guides."""
    return factor("heat rise slope").value * watts / area_ft2 + factor("heat rise start").value


def outside_area_ft2(height_in: float, width_in: float, depth_in: float) -> float:
    """All six sides, square feet, of a box in inches."""
    return 2 * (height_in * width_in + height_in * depth_in + width_in * depth_in) / 144


@asked(watts=NOT_NEGATIVE, rise_in_f=POSITIVE)
def fan_cfm(watts: float, rise_in_f: float) -> float:
    """Air in ft3/min that carries watts off at a rise in F: 3.16 W / dT. BTU/h would need another factor."""
    return factor("fan feet").value * watts / rise_in_f


@asked(watts=NOT_NEGATIVE, rise_in_k=POSITIVE)
def fan_m3_h(watts: float, rise_in_k: float) -> float:
    """Air in m3/h that carries watts off at a rise in K, at sea level: 3.1 W / dT."""
    return factor("fan metric").value * watts / rise_in_k


def heat_answers(routes: Sequence[Route], currents: Sequence[Current], job: Job) -> tuple[Answer, ...]:
    """Losses of all that is inside, everything switched on; the temperature inside; the fan if that is too warm."""
    items = tuple(_losses(routes, currents, job))
    if not items:
        return ()
    total = sum(watts for _, watts, _ in items)
    steps = tuple(
        Working(f"{name}: {amount(watts, 'W', 3)}", "", source, "common practice") for name, watts, source in items
    )
    warnings = ("everything inside counted as switched on together: more than will happen",)
    losses = Answer("enclosure", LOSSES, amount(total, "W", 3), total, "W", steps, warnings=warnings)
    box = job.site.enclosure
    if box is None:
        line = "sizing: enclosure 800 x 600 x 250 mm painted-steel against-a-wall"
        missing = Missing("enclosure", "how warm it gets hangs on its sides, its material and how it stands", line)
        return losses, not_answered("enclosure", INSIDE, (missing,))
    return losses, *_inside(total, box, job)


def _losses(routes: Sequence[Route], currents: Sequence[Current], job: Job) -> Iterator[tuple[str, float, str]]:
    """(name, watts, source) of every device inside, the warmest kinds first."""
    carried: dict[str, float] = {}
    for route, current in zip(routes, currents, strict=True):
        for stop in route.stops:
            carried[stop.device.tag] = carried.get(stop.device.tag, 0.0) + (current.amps or 0.0) * stop.share
    inside = {place.name for place in job.circuit.places if place.width_m} | {"door", "plate"}
    for device in job.circuit.devices:
        if device.place not in inside or device.motors:
            continue
        poles = _pole_watts(device, carried.get(device.tag, 0.0))
        said = next((fact.quantity.value for fact in device.facts if fact.name == "heat" and fact.quantity), None)
        if said is not None:
            yield f"{device.tag} {device.kind}", said, "the panel file"
        elif device.watts or poles[0]:
            watts = device.watts + poles[0]
            yield (
                f"{device.tag} {device.kind}",
                watts,
                "; ".join(filter(None, ("its rated power" if device.watts else "", poles[1]))),
            )


def _pole_watts(device: Device, amps: float) -> tuple[float, str]:
    """Heat of the poles at the current that they carry; it goes with its square."""
    row = next((row for row in rows_of("heat", HeatRow) if row.kind == device.kind), None)
    if row is None or not amps:
        return 0.0, ""
    rated = rating_of(device) or row.rated_a
    poles = sum(1 for part in device.parts if not isinstance(part, Load) and getattr(part, "main", True))
    return min(poles, 3) * row.watts_per_pole * (amps / rated) ** 2, row.source


def _inside(total: float, box: Enclosure, job: Job) -> tuple[Answer, ...]:
    standing = named(site_words().standing, box.standing or "against-a-wall")
    material = named(site_words().material, box.material or "painted-steel")
    assert standing is not None and material is not None
    area = surface_m2(box, standing)
    rise = rise_k(total, area, material.w_m2_k)
    at = job.site.ambient_c + rise
    steps = _rise_steps(total, box, standing, material, area, rise, job)
    missing: tuple[Missing, ...] = ()
    if not box.standing or not box.material:
        missing = (Missing("material and position of the enclosure", "both change how much heat it gives off",
                           f"sizing: enclosure {box.text} painted-steel against-a-wall"),)  # fmt: skip
    warnings = [f"other tables print k = {material.others} for {material.name}"] if material.others else []
    most, text = job.site.inside_c, job.site.text("inside")
    fits = most is None or at <= most + 1e-9
    fitted = None if most is None else Fitted(f"at most {text}", fits, "" if fits else "cool it, or take a larger box")
    choice = f"{amount(at, 'C', 3)} at an ambient of {amount(job.site.ambient_c, 'C')}"
    inside = Answer("enclosure", INSIDE, choice, at, "C", steps, (), fitted, tuple(warnings), missing)
    if most is not None and not fits and most > job.site.ambient_c:
        return inside, _fan(total, most - job.site.ambient_c)
    return (inside,)


def _rise_steps(
    total: float, box: Enclosure, standing: StandingRow, material: MaterialRow, area: float, rise: float, job: Job
) -> tuple[Working, ...]:
    h, w, d = box.height_m, box.width_m, box.depth_m
    first = (
        f"{standing.hw:g} x {h:.3g} x {w:.3g} + {standing.hd:g} x {h:.3g} x {d:.3g} + "
        f"{standing.wd:g} x {w:.3g} x {d:.3g} = {amount(area, 'm2', 3)} ({standing.says})"
    )
    second = f"{amount(total, 'W', 3)} / ({material.w_m2_k:g} W/m2K x {amount(area, 'm2', 3)}) = {amount(rise, 'K', 3)}"
    steps = [
        Working(first, "IEC TR 60890", standing.source, standing.trust),
        Working(second, "", material.source, material.trust),
    ]
    if job.american:
        ft2 = 2 * (h * w + h * d + w * d) / FT2_M2
        chart = rise_f(total, ft2)
        row, start = factor("heat rise slope"), factor("heat rise start")
        per = f"{amount(total, 'W', 3)} / {amount(ft2, 'ft2', 3)}"
        words = f"by the charts: {row.value:g} x {per} + {start.value:g} = {amount(chart, 'F', 3)}"
        steps.append(Working(words, "", row.source, row.trust))
    return tuple(steps)


def _fan(total: float, rise: float) -> Answer:
    metric, feet = fan_m3_h(total, rise), fan_cfm(total, rise * 1.8)
    row = factor("fan metric")
    words = f"{row.value:g} x {amount(total, 'W', 3)} / {amount(rise, 'K', 3)} = {amount(metric, 'm3/h', 3)}"
    steps = (Working(words, "", row.source, row.trust),)
    warnings = ("at sea level, filters clean; a fan lets dust and water in: mind the degree of protection",)
    return Answer(
        "enclosure",
        FAN,
        f"{amount(metric, 'm3/h', 3)} ({amount(feet, 'cfm', 3)})",
        metric,
        "m3/h",
        steps,
        warnings=warnings,
    )
