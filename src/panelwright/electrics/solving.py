"""One round of the way to settled currents: diodes, current limits, shorts and fed supplies, decided in turn.

Everything here is piecewise linear. A round (`settled` makes them) solves each frequency on its own (superposition),
then looks for one kind of element whose assumed state does not fit what came out, changes it, and goes round again.
"""

from __future__ import annotations

from .contraction import Bond, Branch, Flow, solve_flow
from .currents import joint_amps
from .elements import Consumer, Element, Elements, Feed, Switch, Valve
from .positions import Position

NEGLIGIBLE_OHMS = 0.5  # closed contacts and links up to here count as joints; common practice, no source
STARTS_AT = 0.85  # of its rated primary volts an electronic supply surely works; common practice, no source
STEADY = 1e-9


class Settling:
    """The elements in one position, with the states found so far.

    `drive`: factor of each feed's volts (0: its primary is dead). `weak`: feeds shorted by the position, taken with
    an inner resistance. `limiting`: dc feeds that hold their current. `conducting`: valves and polarised consumers.
    `waves`: amps of branches by frequency where a whole cycle was followed, else empty.
    `reflected`: amps that a fed supply draws through its primary, by consumer and frequency, then by supply.
    """

    def __init__(self, elements: Elements, position: Position) -> None:
        self.elements = elements
        self.position = position
        self.nodes = elements.nodes
        closed = [s for s in elements.switches.values() if _is_closed(s, position)]
        self.joints = [s for s in closed if s.ohms <= NEGLIGIBLE_OHMS]
        self.resistors = [s for s in closed if s.ohms > NEGLIGIBLE_OHMS]
        self.feeds = [feed for feed in elements.feeds.values() if feed.tag not in position.off]
        self.consumers = elements.consumers
        self.polarised = [c.id for c in self.consumers.values() if c.polarised]
        self.valves = elements.valves
        self.blocking: list[Valve | Consumer] = [
            *elements.valves.values(),
            *(self.consumers[key] for key in self.polarised),
        ]
        self.conducting = {element.id for element in self.blocking}
        self.drive: dict[str, complex] = {feed.id: 0.0 if feed.primary else 1.0 for feed in self.feeds}
        self.weak: set[str] = set()
        self.limiting: set[str] = set()
        self.reflected: dict[tuple[str, float], dict[str, complex]] = {}
        self.flows: dict[float, Flow] = {}
        self.waves: dict[float, dict[str, complex]] = {}
        self._branches: dict[float, dict[str, Branch]] = {}
        self.settled = True

    def live(self) -> list[Feed]:
        """Feeds that give volts now."""
        return [feed for feed in self.feeds if self.drive[feed.id]]

    def volts_of(self, feed: Feed, hertz: float) -> complex:
        """Open-circuit volts of a feed at a frequency."""
        return feed.volts * self.drive[feed.id] if feed.hertz == hertz else 0.0

    def ohms_of(self, feed: Feed) -> float:
        """What stands inside a feed: 0 for an ideal one that is not shorted."""
        return feed.ohms or (feed.short_ohms if feed.id in self.weak else 0.0)

    def ideal_feeds(self) -> list[Feed]:
        """Live feeds that act as joints with volts."""
        return [f for f in self.live() if not self.ohms_of(f) and f.id not in self.limiting]

    def bonds(self, hertz: float) -> list[Bond]:
        """Joints first, then ideal feeds, in the order of `joints` and `ideal_feeds`."""
        found: list[Bond] = [(s.a, s.b, 0.0) for s in self.joints]
        found.extend((f.a, f.b, self.volts_of(f, hertz)) for f in self.ideal_feeds())
        return found

    def branches(self, hertz: float) -> dict[str, Branch]:
        """Everything that has a resistance, by element id, as it was when last solved."""
        found = self._branches.get(hertz)
        if found is None:
            found = self._branches[hertz] = self._branches_now(hertz)
        return found

    def _branches_now(self, hertz: float) -> dict[str, Branch]:
        found = dict(self.elements.consumer_branches(hertz))
        found.update({s.id: (s.a, s.b, 1 / s.ohms, 0.0) for s in self.resistors})
        for key in (*self.polarised, *(key for key, at in self.reflected if at == hertz)):
            found[key] = self._consumer_branch(self.consumers[key], hertz)
        for valve in self.valves.values():
            found[valve.id] = self._valve_branch(valve, hertz)
        for feed in self.live():
            ohms = self.ohms_of(feed)
            if feed.id in self.limiting:
                found[feed.id] = (feed.a, feed.b, STEADY, -feed.limit_a if hertz == 0 else 0.0)
            elif ohms:
                found[feed.id] = (feed.a, feed.b, 1 / ohms, -self.volts_of(feed, hertz) / ohms)
        return found

    def _consumer_branch(self, consumer: Consumer, hertz: float) -> Branch:
        siemens = consumer.siemens(hertz)
        if consumer.polarised:
            siemens *= self._passes(consumer.id, hertz)
        reflected = self.reflected.get((consumer.id, hertz))
        return (consumer.a, consumer.b, siemens, sum(reflected.values()) if reflected else 0.0)

    def _valve_branch(self, valve: Valve, hertz: float) -> Branch:
        siemens = self._passes(valve.id, hertz) / valve.ohms
        return (valve.a, valve.b, siemens, -valve.drop_v * siemens if hertz == 0 else 0.0)

    def _passes(self, element: str, hertz: float) -> float:
        """1 while it conducts, 0 while it blocks; half on ac alone, only to find out whether it has any volts."""
        if hertz and not any(feed.hertz == 0 for feed in self.live()):
            return 0.5
        return float(element in self.conducting)

    def solve(self) -> None:
        """Volts at every frequency that a live feed has; dc when there is none."""
        wanted = sorted({feed.hertz for feed in self.live()}) or [0.0]
        self.flows, self._branches = {}, {}
        for hertz in wanted:
            self.flows[hertz] = solve_flow(self.nodes, self.bonds(hertz), list(self.branches(hertz).values()))

    def across(self, element: Element, hertz: float) -> complex | None:
        """Volts from a to b; None between two sections."""
        flow = self.flows.get(hertz)
        if flow is None:
            return 0.0
        if flow.section[element.a] != flow.section[element.b]:
            return None
        return flow.volts[element.a] - flow.volts[element.b]

    def branch_amps(self, hertz: float) -> dict[str, complex]:
        """Amps from a to b in every branch."""
        if self.waves:
            return self.waves.get(hertz, {})
        flow = self.flows.get(hertz)
        if flow is None:
            return {}
        volts = flow.volts
        return {key: y * (volts[a] - volts[b]) + amps for key, (a, b, y, amps) in self.branches(hertz).items()}

    def bond_amps(self, hertz: float) -> dict[str, complex]:
        """Amps from a to b in every joint and ideal feed; inside a feed that gives they flow from b to a."""
        drawn: dict[int, complex] = {}
        amps = self.branch_amps(hertz)
        for key, (a, b, _, _) in self.branches(hertz).items():
            drawn[a] = drawn.get(a, 0.0) + amps[key]
            drawn[b] = drawn.get(b, 0.0) - amps[key]
        ideal = self.ideal_feeds()
        ties = [*((s.a, s.b, s.ohms) for s in self.joints), *((f.a, f.b, 0.0) for f in ideal)]
        keys = [*(s.id for s in self.joints), *(f.id for f in ideal)]
        return dict(zip(keys, joint_amps(ties, drawn), strict=True))

    # What may not fit: each returns whether it changed something.

    def found_shorts(self) -> bool:
        """A clashing ideal feed is shorted, or set against another; its whole supply then has a resistance."""
        ideal = self.ideal_feeds()
        clashing = {i - len(self.joints) for flow in self.flows.values() for i in flow.clashing}
        tags = {ideal[i].tag for i in clashing if i >= 0}
        before = len(self.weak)
        self.weak.update(feed.id for feed in ideal if feed.tag in tags)
        return len(self.weak) > before

    def turned_valves(self, gently: bool) -> bool:
        """Diodes and polarised loads that conduct backwards stop; those with forward volts start."""
        if not self.blocking or 0.0 not in self.flows:
            return False
        wrong: list[tuple[float, str]] = []
        for element in self.blocking:
            volts = self.across(element, 0.0)
            drop = element.drop_v if isinstance(element, Valve) else 0.0
            excess = volts.real - drop if volts is not None else 0.0
            if (element.id in self.conducting) == (excess < -STEADY) and abs(excess) > STEADY:
                wrong.append((abs(excess), element.id))
        wrong.sort(reverse=True)
        self.conducting.symmetric_difference_update(key for _, key in (wrong[:1] if gently else wrong))
        return bool(wrong)

    def met_limits(self) -> bool:
        """Dc supplies that would give more than they can hold their current instead of their volts."""
        limited = [feed for feed in self.live() if feed.limit_a and feed.id not in self.weak]
        if not limited or 0.0 not in self.flows:
            return False
        for feed in limited:
            if feed.id in self.limiting and (self.across(feed, 0.0) or 0.0).real > feed.volts.real * (1 + STEADY):
                self.limiting.discard(feed.id)
                return True
        total = sum(abs(amps) for amps in self.branch_amps(0.0).values())
        if total <= min(feed.limit_a for feed in limited):
            return False
        given = self.bond_amps(0.0)
        over = {feed.id for feed in limited if -given.get(feed.id, 0.0).real > feed.limit_a * (1 + STEADY)}
        self.limiting |= over
        self._restart_valves(bool(over))
        return bool(over)

    def fed_supplies(self) -> bool:
        """Supplies that live from a primary follow its volts, and draw their power through it."""
        changed = False
        amps: dict[float, dict[str, complex]] = {}
        for feed in self.feeds:
            if feed.primary:
                changed |= self._follow_primary(feed, amps)
        return changed

    def _follow_primary(self, feed: Feed, amps: dict[float, dict[str, complex]]) -> bool:
        primary = self.consumers.get(feed.primary)
        volts = {h: self.across(primary, h) or 0.0 for h in self.flows} if primary else {}
        effective = sum(abs(v) ** 2 for v in volts.values()) ** 0.5
        if feed.hertz:
            drive = volts.get(feed.hertz, 0.0) / feed.primary_v
        else:
            drive = 1.0 if effective >= STARTS_AT * feed.primary_v else 0.0
        changed = abs(drive - self.drive[feed.id]) > 1e-7
        if changed:
            if bool(drive) != bool(self.drive[feed.id]):
                self._restart_valves(True)
            self.drive[feed.id] = drive
            return True
        return self._reflect(feed, volts, effective, amps)

    def _reflect(
        self, feed: Feed, volts: dict[float, complex], effective: float, amps: dict[float, dict[str, complex]]
    ) -> bool:
        if not self.drive[feed.id] or feed.hertz not in self.flows:
            drawn: dict[float, complex] = dict.fromkeys(self.flows, 0.0)
        else:
            if feed.hertz not in amps:
                amps[feed.hertz] = {**self.branch_amps(feed.hertz), **self.bond_amps(feed.hertz)}
            given = -amps[feed.hertz].get(feed.id, 0.0)
            if feed.hertz:
                drawn = {feed.hertz: given * (feed.volts / feed.primary_v).conjugate()}
            else:
                watts = (given * (self.across(feed, 0.0) or 0.0)).real
                drawn = {h: watts * v / effective**2 for h, v in volts.items()}
        changed = False
        for hertz, value in drawn.items():
            through = self.reflected.setdefault((feed.primary, hertz), {})
            changed |= abs(value - through.get(feed.id, 0.0)) > 1e-6 * max(1e-3, abs(value))
            through[feed.id] = value
        return changed

    def _restart_valves(self, really: bool) -> None:
        if really:
            self.conducting = {element.id for element in self.blocking}


def _is_closed(switch: Switch, position: Position) -> bool:
    if switch.sort == "contact":
        return switch.id in position.closed
    return switch.id not in position.blown
