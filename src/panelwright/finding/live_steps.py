"""The steps of the function test: few of them, and every contact seen to matter both closed and open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ..behaviour import PanelState, Run
from ..behaviour.engine import Moment
from ..behaviour.stands import MOVING, Stand
from ..circuit import Circuit, Contact, Device, Do, Inject, Load, Motor, Trial, net_of
from ..electrics import Network, Position, Solution
from .situations import inputs, play, waiting_s

MOST_STEPS = 200
LEAST_A, LEAST_V = 1e-6, 0.1  # what carries less, or stands across less, moves nothing
LONGEST_CUT = 2  # steps that are left out together when the way is shortened

Seen = tuple[str, bool]  # a contact, and whether it was seen closed or open


@dataclass(frozen=True, slots=True)
class Taken:
    """One step with the panel before and after."""

    step: Do
    before: PanelState
    after: PanelState


@dataclass(frozen=True, slots=True)
class Coverage:
    """Contacts that were seen to matter closed and open, of those that are wired in the control circuit.

    `never`: (contact, closed) that no step shows; `at_least`: no test that shows as much has fewer steps.
    """

    both: int
    wired: int
    never: tuple[Seen, ...]
    at_least: int


class Eyes:
    """What somebody who looks at the panel can tell of its contacts.

    A contact is seen closed when something visible would be otherwise if it were open just then, and seen open when
    something would be otherwise if it were closed. Moved alone is not seen: another path may hide it.
    """

    def __init__(self, network: Network) -> None:
        self.network = network
        self.circuit = network.circuit
        self.contacts = frozenset(
            f"{d.tag}.{c.name}"
            for d in self.circuit.devices
            for c in d.contacts
            if not c.main and is_wired(self.circuit, d, c)
        )
        self.by_hand = frozenset(device.tag for device, *_ in inputs(self.circuit))
        self.loads = [f"{d.tag}.{p.name}" for d in self.circuit.devices for p in d.parts if isinstance(p, Load)]
        self.motors = [f"{d.tag}.{p.name}" for d in self.circuit.devices for p in d.parts if isinstance(p, Motor)]
        self._looks: dict[Position, tuple[object, ...]] = {}
        self._matters: dict[tuple[Position, str], bool] = {}

    def seen_at_rest(self, run: Run) -> set[Seen]:
        """What the panel shows before anything is done."""
        return self._seen_in(run.state.position, run.state.solution, set())

    def seen_in(self, before: Run, after: Run, known: set[Seen]) -> set[Seen]:
        """What a step shows beyond what is known: how things stand after it, and which contact made them move.

        A contact that starts or stops something may matter only until that holds itself, or has let go of itself; so
        what was on the way is looked at, too, whenever nothing was just moving.
        """
        found = self._seen_in(after.state.position, after.state.solution, known)
        for moment in after.trace.steps[len(before.trace.steps) :]:
            if isinstance(moment, Moment) and self._stands_still(moment, after.state):
                found |= self._seen_in(moment.position, moment.solution, known | found)
        return found

    def _stands_still(self, moment: Moment, last: PanelState) -> bool:
        """Nothing moves, and what the hand works is where it was put: a selector passes others on its way."""
        return all(
            not _moves(stand) and (tag not in self.by_hand or stand.plain.at == last.stands[tag].plain.at)
            for tag, stand in moment.stands.items()
        )

    def _seen_in(self, position: Position, solution: Solution, known: set[Seen]) -> set[Seen]:
        new = {(name, name in position.closed) for name in self.contacts} - known
        return {one for one in new if self._may_matter(solution, *one) and self._does_matter(position, one[0])}

    def _may_matter(self, solution: Solution, contact: str, closed: bool) -> bool:
        """Only what carries current, or has volts across it: quicker to tell than by solving the panel once more."""
        if closed:
            return solution.amps(contact).effective > LEAST_A
        level = solution.across(contact)
        return level.floating or level.effective > LEAST_V

    def _does_matter(self, position: Position, contact: str) -> bool:
        key = position, contact
        if key not in self._matters:
            moved = Position(position.closed ^ {contact}, position.blown, position.off)
            self._matters[key] = self._look(position) != self._look(moved)
        return self._matters[key]

    def _look(self, position: Position) -> tuple[object, ...]:
        if position not in self._looks:
            solution = self.network.solve(position)
            loads = tuple(solution.verdict(load) for load in self.loads)
            motors = tuple(solution.motors[motor].state for motor in self.motors if motor in solution.motors)
            self._looks[position] = loads, motors, bool(solution.shorts)
        return self._looks[position]


def _moves(stand: Stand) -> bool:
    return MOVING in (stand.plain.at, stand.timed.at)


def is_wired(circuit: Circuit, device: Device, contact: Contact) -> bool:
    """Whether something lands on both ends of a contact."""
    nets = net_of(circuit)
    return f"{device.tag}.{contact.a}" in nets and f"{device.tag}.{contact.b}" in nets


def function_steps(network: Network, before: tuple[Do, ...] = ()) -> tuple[list[Taken], Coverage]:
    """Steps from rest, found greedily: the next one or two that show most that is new; then what is idle left out.

    `before`: what has been done to the panel at rest, and is left as it is (fuses of motors taken out).
    """
    finder = _Finder(network, before)
    steps = finder.shortened(finder.greedy())
    return finder.taken(steps), finder.coverage(steps)


class _Finder:
    def __init__(self, network: Network, before: tuple[Do, ...]) -> None:
        self.circuit = network.circuit
        self.eyes = Eyes(network)
        self.wait_s = waiting_s(self.circuit)
        self.left = {tag for step in before for tag in step.targets}
        self.rest = play(Run(network), before, self.wait_s)

    def possible(self, run: Run) -> list[Do]:
        """What can be worked now, and is not left as it is."""
        return [step for step in possible_steps(run.state) if step.targets[0] not in self.left]

    def is_possible(self, run: Run, step: Do) -> bool:
        """Whether everything that a step does at once can be done now."""
        return all(one in self.possible(run) for one in singly(step))

    def after(self, run: Run, step: Do) -> Run:
        return play(run.copy(), (step,), self.wait_s)

    def step(self, run: Run, step: Do, seen: set[Seen]) -> Run:
        """Take a step and add what it shows."""
        after = self.after(run, step)
        seen |= self.eyes.seen_in(run, after, seen)
        return after

    def greedy(self) -> list[Do]:
        run, steps = self.rest, list[Do]()
        seen = self.eyes.seen_at_rest(run)
        while len(steps) < MOST_STEPS and len(seen) < 2 * len(self.eyes.contacts):
            way = self._best_way(run, seen)
            if not way:
                break
            for step in way:
                run = self.step(run, step, seen)
            steps += way
        return steps

    def _best_way(self, run: Run, seen: set[Seen]) -> tuple[Do, ...]:
        """One step; two where one shows nothing new; else what a trial of the file does, which may take many."""
        first = [((step,), self.after(run, step)) for step in self.possible(run)]
        best = self._best(run, ((way, (after,)) for way, after in first), seen)
        return best or self._best(run, self._second(first), seen) or self._best(run, self._trials(run), seen)

    def _second(self, first: Sequence[tuple[tuple[Do, ...], Run]]) -> Iterator[tuple[tuple[Do, ...], tuple[Run, ...]]]:
        tried = [way[0] for way, _ in first]
        for at, (way, middle) in enumerate(first):
            for step in self.possible(middle):
                if step in tried[:at]:
                    continue  # the other way round it was tried already
                yield (*way, step), (middle, self.after(middle, step))

    def _trials(self, run: Run) -> Iterator[tuple[tuple[Do, ...], tuple[Run, ...]]]:
        for trial in self.circuit.trials:
            way = (*self.back(run), *steps_of(trial))
            tags = {tag for step in way for one in singly(step) for tag in one.targets}
            if tags <= set(self.circuit.by_tag) and not tags & self.left:
                now, runs = run, []
                for step in way:
                    now = self.after(now, step)
                    runs.append(now)
                yield way, tuple(runs)

    def back(self, run: Run) -> list[Do]:
        return [step for step in back_to_rest(run.state) if step.targets[0] not in self.left]

    def _best(
        self, start: Run, ways: Iterable[tuple[tuple[Do, ...], Sequence[Run]]], seen: set[Seen]
    ) -> tuple[Do, ...]:
        best: tuple[int, tuple[Do, ...]] = (0, ())
        for way, runs in ways:
            new = set[Seen]()
            for before, after in pairwise((start, *runs)):
                new |= self.eyes.seen_in(before, after, seen | new)
            best = max(best, (len(new), way), key=lambda one: one[0])
        return best[1]

    def taken(self, steps: Sequence[Do]) -> list[Taken]:
        run, found = self.rest, []
        for step in steps:
            before = run.state
            run = self.after(run, step)
            found.append(Taken(step, before, run.state))
        return found

    def seen_by(self, steps: Sequence[Do]) -> set[Seen] | None:
        """What the steps show; None when one of them cannot be done then."""
        run = self.rest
        seen = self.eyes.seen_at_rest(run)
        for step in steps:
            if not self.is_possible(run, step):
                return None
            run = self.step(run, step, seen)
        return seen

    def shortened(self, steps: list[Do]) -> list[Do]:
        """Without the stretches that show nothing which the others do not."""
        whole = self.seen_by(steps)
        if whole is None:  # a trial may do what a hand cannot, such as pressing what is pressed
            return steps
        for length in range(min(LONGEST_CUT, len(steps)), 0, -1):
            start = 0
            while start + length <= len(steps):
                fewer = [*steps[:start], *steps[start + length :]]
                if (self.seen_by(fewer) or set()) >= whole:
                    steps = fewer
                else:
                    start += 1
        return steps

    def coverage(self, steps: Sequence[Do]) -> Coverage:
        wanted = self.eyes.contacts
        run = self.rest
        seen = self.eyes.seen_at_rest(run)
        for step in steps:
            run = self.step(run, step, seen)
        both = {name for name in wanted if {(name, True), (name, False)} <= seen}
        never = sorted((name, closed) for name in wanted for closed in (True, False) if (name, closed) not in seen)
        return Coverage(len(both), len(wanted), tuple(never), self._at_least(seen))

    def _at_least(self, seen: set[Seen]) -> int:
        """Each device that is worked from outside moves at least once for what it shows away from its rest."""
        at_rest = self.rest.state.position.closed
        moved = {name.partition(".")[0] for name, closed in seen if closed != (name in at_rest)}
        return sum(1 for tag in {device.tag for device, *_ in inputs(self.circuit)} if tag in moved)


def steps_of(trial: Trial) -> tuple[Do, ...]:
    """What a trial does, with what is done at once left together, up to its first fault or power cut everywhere."""
    found: list[Do] = []
    for step in trial.steps:
        if isinstance(step, Inject) or (isinstance(step, Do) and step.verb.startswith("power") and not step.targets):
            break
        if isinstance(step, Do) and step.verb != "wait":
            found.append(step)
    return tuple(found)


def singly(step: Do) -> tuple[Do, ...]:
    """What a step does at once, one device at a time."""
    return tuple(Do(one.verb, (tag,), one.value, one.seconds) for one in (step, *step.also) for tag in one.targets)


def back_to_rest(state: PanelState) -> Iterator[Do]:
    """Everything let go, cleared, reset, switched on and turned to where it starts."""
    for step in possible_steps(state):
        device = state.circuit.by_tag[step.targets[0]]
        if step.verb in ("release", "clear", "reset", "switch-on", "power-on") or (
            step.verb == "turn" and step.value == device.mechanism.start
        ):
            yield step


def possible_steps(state: PanelState) -> list[Do]:
    """What can be worked from here: everything released that is not, pressed that is not, turned elsewhere.

    Of several feeds each can be cut.
    """
    found = []
    for device, verb, back, _value, _ in inputs(state.circuit):
        stand = state.stands[device.tag]
        if verb == "turn":
            continue
        if verb == "switch-off":
            found.append(Do(verb if stand.is_in else back, (device.tag,)))
        else:
            found.append(Do(back if stand.is_in else verb, (device.tag,)))
    for device in state.circuit.devices:
        for position in device.mechanism.positions:
            if position != state.stands[device.tag].plain.at:
                found.append(Do("turn", (device.tag,), position))
    feeds = [device.tag for device, source in state.circuit.supplies if not source.fed_by]
    if len(feeds) > 1:
        found += [Do("power-on" if tag in state.position.off else "power-off", (tag,)) for tag in feeds]
    return found
