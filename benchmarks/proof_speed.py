"""How long the promises of large panels take to prove or refute, and how that grows with the number of relays.

Times are those of the processor, so that other programs on the machine do not count. Each question may take 60 s.
The largest panels are asked twice, once with their rungs and devices in another order.
Run: `python3 -m benchmarks.proof_speed [FAMILY ...] [RELAYS ...]`; with `--picture FILE.svg` the growth is drawn too.
"""

from __future__ import annotations

import signal
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from panelwright.behaviour.proof.panel import Panel
from panelwright.behaviour.proof.proving import prove
from panelwright.behaviour.proof.standing import standing_promises
from panelwright.circuit import Circuit, Happens, Is, Sentence
from panelwright.electrics import Network

from .families import nstation, randnet, reversing, ring, sequence, shuffled, stepper
from .plot import growth

LIMIT_S = 60
PATIENCE = 10  # times as long by the clock on the wall, for a machine that has other work
SAMPLE = 5  # promises of one sort, spread evenly over the panel
NO_RESTART = Sentence(
    "nothing starts", "nothing starts when power returns", event=Happens(Is("power", "on")), subject="nothing"
)
Promises = list[Sentence]


def off_when(relay: str, button: str) -> Sentence:
    """A stop that has to work."""
    return Sentence("when", f"{relay} drops out when {button} is pressed", (Is(relay, "out"),), Is(button, "pressed"))


def apart(one: str, other: str) -> Sentence:
    """Two that must never be in together."""
    return Sentence("never together", f"{one} and {other} are never in together", (Is(one, "in"), Is(other, "in")))


def after(one: str, other: str) -> Sentence:
    """One that has to wait for another."""
    return Sentence("only after", f"{one} picks up only after {other} is in", (Is(one, "in"),), Is(other, "in"))


def of_reversing(n: int) -> dict[str, Promises]:
    """Each pair's own stop, the emergency stop, and its two directions."""
    pairs = range(1, n // 2 + 1)
    return {
        "stop": [off_when(f"KF{k}", f"S{k}") for k in pairs],
        "emergency stop": [off_when(f"KR{k}", "S0") for k in pairs],
        "never both": [apart(f"KF{k}", f"KR{k}") for k in pairs],
    }


def of_sequence(n: int) -> dict[str, Promises]:
    """The stop of all, and the order."""
    return {
        "stop": [off_when(f"K{k}", "S0") for k in range(1, n + 1)],
        "order": [after(f"K{k}", f"K{k - 1}") for k in range(2, n + 1)],
    }


def of_stepper(n: int) -> dict[str, Promises]:
    """The stop of all, and steps that should exclude each other."""
    return {
        "stop": [off_when(f"K{k}", "SE") for k in range(1, n + 1)],
        "never both": [apart(f"K{k}", f"K{k + 2}") for k in range(1, n - 1)],
    }


def of_nstation(n: int) -> dict[str, Promises]:
    """Every station's stop, and what needs the motor."""
    return {
        "stop": [off_when("K0", f"S{k}1") for k in range(1, n + 1)],
        "order": [after(f"K{k}", "K0") for k in range(1, n + 1)],
    }


def of_randnet(n: int) -> dict[str, Promises]:
    """Nothing is meant by these rungs; most of it is broken."""
    return {"never both": [apart(f"K{k}", f"K{k + 1}") for k in range(n - 1)]}


FAMILIES: dict[str, tuple[Callable[[int], Circuit], Callable[[int], dict[str, Promises]]]] = {
    "reversing": (lambda n: reversing(n // 2), of_reversing),
    "sequence": (sequence, of_sequence),
    "stepper": (ring, of_stepper),
    "nstation": (nstation, of_nstation),
    "randnet": (randnet, of_randnet),
    "plain-stepper": (stepper, of_stepper),
}


IN_WORDS = {
    "reversing": "opposed starters",
    "sequence": "starters in sequence",
    "stepper": "ring of steps",
    "nstation": "stations in a line",
    "randnet": "rungs by lot, bridged",
    "plain-stepper": "plain ring of steps",
}


@dataclass
class Measured:
    """Processor seconds and outcomes of some promises of one sort."""

    name: str
    outcomes: Counter[str]
    seconds: list[float]

    def told(self) -> str:
        """One line."""
        outcomes = ", ".join(f"{count} {what}" for what, count in sorted(self.outcomes.items()))
        return f"{self.name:28} {sum(self.seconds) / len(self.seconds):8.2f} {max(self.seconds):8.2f}  {outcomes}"


def ask(panel: Panel, name: str, promises: Promises) -> Measured:
    """The promises, spread over the panel, one after the other."""
    measured = Measured(name, Counter(), [])
    for promise in promises[:: max(1, len(promises) // SAMPLE)]:
        begun = time.process_time()
        signal.setitimer(signal.ITIMER_PROF, LIMIT_S)
        try:
            outcome: str = next(prove(panel.network, (promise,), panel=panel, seconds=PATIENCE * LIMIT_S)).outcome
        except TimeoutError:
            outcome = f"not in {LIMIT_S} s"
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
        measured.outcomes[outcome] += 1
        measured.seconds.append(time.process_time() - begun)
    return measured


def questions(panel: Panel, usual: dict[str, Promises]) -> Iterator[Measured]:
    """The standing promises and the usual ones."""
    for promise in standing_promises(panel):
        if promise.form != "nothing starts":
            yield ask(panel, promise.text, [promise])
    for name, promises in {"no restart": [NO_RESTART], **usual}.items():
        yield ask(panel, name, promises)


def _cut_off(*_: object) -> None:
    raise TimeoutError


def main() -> None:
    """Print the table and draw the picture: of each family the slowest question that was decided."""
    arguments = sys.argv[1:]
    picture = arguments.pop(arguments.index("--picture") + 1) if "--picture" in arguments else ""
    sizes = [int(one) for one in arguments if one.isdigit()] or [300]
    families = [one for one in arguments if one in FAMILIES] or list(FAMILIES)
    signal.signal(signal.SIGPROF, _cut_off)
    curves: dict[str, list[tuple[float, float]]] = {}
    print(f"{'promises':28} {'mean s':>8} {'worst s':>8}  outcomes")
    for family in families:
        for relays in sizes:
            slowest = _asked(family, relays, "as written")
            if slowest:
                curves.setdefault(IN_WORDS[family], []).append((relays, slowest))
            if slowest and relays == max(sizes):
                again = _asked(family, relays, "shuffled")
                print(f"{family}, {relays} relays: shuffled {again / slowest:.1f} times as long", flush=True)
    if picture:
        Path(picture).write_text(growth(curves, "relays", "seconds of one processor, slowest promise"), "utf-8")


def _asked(family: str, relays: int, order: str) -> float:
    """Ask all questions of one panel; seconds of the slowest that was decided."""
    make, usual = FAMILIES[family]
    circuit = make(relays) if order == "as written" else shuffled(make(relays), seed=1)
    begun = time.process_time()
    panel = Panel(Network(circuit))
    print(f"{family}, {relays} relays, {order}: compiled in {time.process_time() - begun:.2f} s")
    slowest = 0.0
    for measured in questions(panel, usual(relays)):
        print(measured.told(), flush=True)
        if not set(measured.outcomes) - {"kept", "broken"}:
            slowest = max(slowest, *measured.seconds)
    return slowest


if __name__ == "__main__":
    main()
