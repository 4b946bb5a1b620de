"""Several motors behind one branch device: the device that they may share.

NEC 430.53 knows three ways: small motors; a device that the smallest motor alone might have; parts that are listed for
a group. IEC has no such rule: the device has to bear the start and to suit the smallest parts behind it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..circuit import Device
from .answers import Allowed, Answer, Fitted, Working, in_amps
from .asking import NOT_NEGATIVE, POSITIVE, asked, every
from .factors import factor, step
from .job import Job
from .motors import Current
from .protection import (
    KINDS,
    BranchLimit,
    branch_limit,
    device_sort,
    fuse_factor,
    motor_row,
    rating_of,
    size_below,
    usual_size,
)
from .routes import Route
from .together import Running, running_together

QUESTION = "device of a group"


@dataclass(frozen=True, slots=True)
class Group:
    """The motors behind one branch device, each with its current, the largest first; `running`: which run together."""

    device: Device
    motors: tuple[tuple[Route, float], ...]
    running: Running

    @property
    def names(self) -> str:
        """ "M1 and M2"."""
        return " and ".join(sorted(route.plate.tag for route, _ in self.motors))


def group_answers(routes: Sequence[Route], currents: Sequence[Current], job: Job) -> tuple[Answer, ...]:
    """One answer for each branch device with several motors behind it."""
    return tuple((_nec if job.american else _iec)(group, job) for group in groups_of(routes, currents, job))


def groups_of(routes: Sequence[Route], currents: Sequence[Current], job: Job) -> Iterator[Group]:
    """The groups of a panel whose currents are known, in file order; of a motor with windings the largest counts."""
    behind: dict[str, dict[str, tuple[Route, float]]] = {}
    for route, current in zip(routes, currents, strict=True):
        if route.device is not None and current.amps is not None:
            motors = behind.setdefault(route.device.device.tag, {})
            known = motors.get(route.plate.tag)
            if known is None or known[1] < current.amps:
                motors[route.plate.tag] = (route, current.amps)
    for tag, motors in behind.items():
        if len(motors) > 1:
            ordered = tuple(sorted(motors.values(), key=lambda one: -one[1]))
            yield Group(job.circuit.by_tag[tag], ordered, running_together([route for route, _ in ordered], job))


# ---- single questions
@asked(others=every(NOT_NEGATIVE))
def group_limit(first: BranchLimit, others: Sequence[float]) -> tuple[float, float | None]:
    """(sum, standard size not above it) of a group whose parts are listed for one.

    `first`: of the largest motor alone; `others`: the currents of the rest. Source: NEC 430.53(C)(4), from memory.
    """
    total = first.size_a + sum(others)
    return total, size_below(total, fuses=first.device.endswith("fuse"))


@asked(hp=every(POSITIVE), amps=every(POSITIVE), volts=POSITIVE)
def small_group_device(hp: Sequence[float], amps: Sequence[float], volts: float) -> float | None:
    """Largest device of a group of small motors; None where one is too large for that. Source: NEC 430.53(A)."""
    most_hp, most_a = factor("group small hp").value, factor("group small amps").value
    if max(hp) > most_hp * 1.005 or max(amps) > most_a:
        return None
    low = volts <= factor("group small low volts").value
    return factor("group small device 120 V" if low else "group small device 600 V").value


# ---- NEC
def _nec(group: Group, job: Job) -> Answer:
    sort = device_sort(group.device)[0]
    limits = [branch_limit(amps, sort, job.region, motor_row(route.plate)) for route, amps in group.motors]
    amps = [amps for _, amps in group.motors]
    plates = [route.plate for route, _ in group.motors]
    total, listed = group_limit(limits[0], amps[1:])
    single = min(limit.size_a for limit in limits)
    small = small_group_device([plate.hp for plate in plates], amps, plates[0].volts)
    rule = job.region.clause("group")
    summed = f"{in_amps(limits[0].size_a)} ({KINDS[sort]} for {plates[0].tag}) + {' + '.join(map(in_amps, amps[1:]))}"
    steps: tuple[Working, ...] = (
        *limits[0].workings,
        Working(f"{summed} = {in_amps(total)}; not rounded up", f"{rule}(C)", rule, "from memory"),
    )
    as_listed = Allowed(f"at most {in_amps(listed or 0.0)}, all parts listed for a group", f"{rule}(C)", listed)
    as_single = Allowed(f"at most {in_amps(single)}", f"what the smallest motor alone may have: {rule}(B)", single)
    ways = [as_single] if listed is None else [as_listed, as_single]
    if small is not None:
        most_hp, most_a = factor("group small hp"), factor("group small amps").value
        why = f"motors up to {most_hp.value:g} hp and {most_a:g} A"
        ways.append(Allowed(f"at most {in_amps(small)}, as a group of small motors", f"{why}: {rule}(A)", small))
        steps = (*steps, step(f"{why}: {in_amps(small)} at most", most_hp, f"{rule}(A)"))
    best, *also = sorted(ways, key=lambda way: -(way.value or 0.0))
    plain = max(single, small or 0.0)
    tap = f"1/{factor('tap long').value:g} of it up to {factor('tap long feet').value:g} ft"
    conductor = f"the conductor to each motor carries what the branch carries, or {tap}: {rule}(D)"
    return Answer(
        group.device.tag, QUESTION, best.choice, best.value, "A", steps, tuple(also),
        _nec_fitted(group, plain, listed or 0.0, rule), (conductor,),
    )  # fmt: skip


def _nec_fitted(group: Group, plain: float, listed: float, rule: str) -> Fitted:
    rating = rating_of(group.device)
    if rating is None:
        return Fitted(group.device.tag, None, "its rating is not said")
    text = f"{group.device.tag} {in_amps(rating)} for {group.names}"
    if rating <= plain + 1e-9:
        return Fitted(text, True, f"not above {in_amps(plain)}")
    if rating <= listed + 1e-9:
        return Fitted(text, None, f"only with contactors and overload relays listed for a group with it: {rule}(C)")
    return Fitted(text, False, f"above {in_amps(listed)}, the largest that is allowed")


# ---- IEC
def _iec(group: Group, job: Job) -> Answer:
    """The fuse that bears the start of the largest while the others that may run with it run."""
    own = {route.plate.tag: (route, amps) for route, amps in group.motors}
    best = (0.0, "", 0.0)
    for tags in group.running.sets:
        motors = sorted((own[tag] for tag in tags), key=lambda one: -one[1])
        rest = sum(amps for _, amps in motors[1:])
        least = fuse_factor(motors[0][0]).value * motors[0][1] + rest
        best = max(best, (least, motors[0][0].plate.tag, rest))
    least, tag, rest = best
    route, amps = own[tag]
    bears = fuse_factor(route)
    with_rest = f" + {in_amps(rest)} of the others" if rest else ""
    size = usual_size("gG fuse", least)
    words = f"bears the start of {tag}: {bears.value:g} x {in_amps(amps)}{with_rest} = {in_amps(least)}"
    rating = rating_of(group.device)
    fitted = None
    if rating is not None:
        fits = rating >= least - 1e-9
        why = f"{'not ' if fits else ''}below {in_amps(least)}"
        fitted = Fitted(f"{group.device.tag} {in_amps(rating)} for {group.names}", True if fits else None, why)
    notes = (
        group.running.how,
        "it has to suit the smallest contactor, overload relay and conductor behind it: their makers' tables decide",
    )
    return Answer(
        group.device.tag, QUESTION, f"{in_amps(size)} gG", size, "A",
        (step(words, bears, job.region.clause("branch device")),), fitted=fitted, warnings=notes,
    )  # fmt: skip
