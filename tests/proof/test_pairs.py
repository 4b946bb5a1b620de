"""Pairs that are never away from rest together, against the walk through all states; each shortcut is made to lie."""

import time
from itertools import combinations

import numpy as np
import pytest
from pysat.solvers import Cadical153

from benchmarks.families import ring, shuffled
from panelwright.behaviour.proof import pair_loop
from panelwright.behaviour.proof.clauses import Step
from panelwright.behaviour.proof.cone import Cone
from panelwright.behaviour.proof.explicit import Walk
from panelwright.behaviour.proof.pairs import Exclusions
from panelwright.behaviour.proof.panel import Panel
from panelwright.behaviour.proof.proving import prove
from panelwright.behaviour.proof.runs import Runs
from panelwright.circuit import Is, Sentence
from panelwright.electrics import Network
from panelwright.electrics.gates import FALSE
from tests.electrics.families import Workshop

from .questions import question_by_lot, walked

SEEDS = 120


def soon() -> float:
    """Time enough."""
    return time.monotonic() + 10.0


def asked(seeds: int = SEEDS):
    """Questions by lot with their seeds."""
    return [(seed, question) for seed in range(seeds) if (question := question_by_lot(seed)) is not None]


def wrongly_excluded() -> list[int]:
    """The seeds on which pairs are said to leave nothing of what the walk sees."""
    return [seed for seed, question in asked() if Exclusions(question.step).exclude(soon()) and walked(question)]


def never_run(self, until):
    """As if no run had shown any pair of different devices together."""
    return np.array([[one != other for other in self.of.tags] for one in self.of.tags])


def test_what_is_excluded_is_never_walked_to(monkeypatch):
    """With runs, and where none has shown anything."""
    assert [] == wrongly_excluded()

    monkeypatch.setattr(Exclusions, "_never_seen", never_run)

    assert [] == wrongly_excluded()


LIES = {
    "no pair is struck out": (Exclusions, "_broken_by_a_step", lambda self, until: (np.zeros_like(self.apart), True)),
    "everything follows at once": (pair_loop, "doubtful", lambda *given: np.zeros_like(given[-1])),
    "every question names a pair": (pair_loop, "each_names_a_pair", lambda *_: True),
}


@pytest.mark.parametrize("lie", LIES)
def test_a_lie_is_noticed(lie, monkeypatch):
    """A shortcut that says too much shows in what the walk sees."""
    monkeypatch.setattr(Exclusions, "_never_seen", never_run)
    monkeypatch.setattr(*LIES[lie])

    assert wrongly_excluded() != []


def solved_in_doubt(exclusions: Exclusions, apart) -> np.ndarray:
    """By two sides: a solver finds a step from a state with the pairs apart that picks up the first, with both away."""
    step = exclusions.step
    now, after = ([step.variable(one) for one in of] for of in (exclusions.sides, exclusions.after))
    found = np.zeros_like(apart)
    with Cadical153(bootstrap_with=step.gate_clauses) as solver:
        solver.append_formula([[one] for one in (*step.assumed, *step.assumed_after)])
        solver.append_formula([[-now[a], -now[b]] for a, b in combinations(range(len(now)), 2) if apart[a, b]])
        for one, other in np.argwhere(apart).tolist():
            found[one, other] = solver.solve([-now[one], after[one], after[other]])
    return found


def test_what_follows_at_once_is_what_a_solver_says():
    """No pair that a step can bring together is passed over, with any of the pairs taken for apart."""
    rng = np.random.default_rng(1)
    passed_over, in_doubt, settled = [], 0, 0
    for seed, question in asked():
        exclusions = Exclusions(question.step)
        if len(exclusions.sides) < 2:
            continue
        drawn = np.triu(rng.random((len(exclusions.sides),) * 2) < 0.7)
        apart = never_run(exclusions, 0) & (drawn | drawn.T)
        doubtful, solved = exclusions._doubtful(apart), solved_in_doubt(exclusions, apart)
        if (solved & ~doubtful).any():
            passed_over.append(seed)
        in_doubt, settled = in_doubt + doubtful.sum(), settled + (apart & ~doubtful).sum()

    assert [] == passed_over
    assert in_doubt > 100
    assert settled > 100


def met(rows) -> np.ndarray:
    """By two sides: some column shows both. `rows`: shape (sides, columns)."""
    return (rows.astype(np.float32) @ rows.astype(np.float32).T) > 0


def test_runs_stay_among_the_states_that_are_walked_through():
    """Whatever a run shows of two sides, the walk comes to as well."""
    strays, seen = [], 0
    for seed, question in asked():
        step = Step(question.step.cone, 0, Exclusions(question.step).sides)
        sides, walk = Exclusions(step).sides, Walk(step)
        walk.shortest()
        states = np.array(list(walk.parent))
        reached = met(np.array([walk.holds_in(states, side) for side in sides]).reshape(len(sides), -1))
        for words in Runs(step).values(sides, soon()):
            shown = met(np.unpackbits(np.ascontiguousarray(words).view(np.uint8), axis=1))
            seen += shown.sum()
            if (shown & ~reached).any():
                strays.append(seed)

    assert [] == strays
    assert seen > 1000


def test_a_ring_keeps_all_its_steps_apart_in_any_order_of_writing():
    """As written and shuffled: no two steps that are not neighbours are ever in together."""
    for circuit in (ring(12), shuffled(ring(12), seed=3)):
        cone = Cone(Panel(Network(circuit)), {device.tag for device in circuit.devices})
        gates = cone.model.gates
        far = [(a, b) for a, b in combinations(range(1, 13), 2) if (b - a) % 12 not in (1, 11)]
        bad = gates.any_of(gates.and_(cone.operated(f"K{a}"), cone.operated(f"K{b}")) for a, b in far)

        assert Exclusions(Step(cone, bad)).exclude(soon())


def test_neighbours_of_a_ring_are_not_said_to_be_apart():
    """One picks up before the other drops out."""
    circuit = ring(6)
    cone = Cone(Panel(Network(circuit)), {device.tag for device in circuit.devices})
    bad = cone.model.gates.and_(cone.operated("K2"), cone.operated("K3"))

    assert not Exclusions(Step(cone, bad)).exclude(soon())


def two_couples() -> Panel:
    """K1 and K2 lock each other out by button and contact, K3 and K4 do not."""
    shop = Workshop()
    for own, other in ((1, 2), (2, 1)):
        shop.rung("+", (f"S{own}.no", f"S{other}.nc", f"K{other}.nc", f"K{own}.coil"), "-")
    for own, other in ((3, 4), (4, 3)):
        shop.rung("+", (f"S{own}.no", f"S{other}.no", f"K{other}.nc", f"K{own}.coil"), "-")
    return Panel(Network(shop.circuit()))


def couples_apart() -> list[bool]:
    """Of each couple, whether it is said that the two are never in together; both asked of one panel."""
    panel, found = two_couples(), []
    for one, other in (("K1", "K2"), ("K3", "K4")):
        cone = Cone(panel, {one, other})
        step = Step(cone, cone.model.gates.and_(cone.operated(one), cone.operated(other)))
        found.append(Exclusions(step).exclude(soon()))
    return found


def test_what_is_kept_with_the_panel_is_not_taken_for_another_answer(monkeypatch):
    """Each couple by itself; a lie that takes all questions of one panel for the same is noticed."""
    assert [True, False] == couples_apart()

    monkeypatch.setattr(Exclusions, "_name", b"all the same")

    assert [True, True] == couples_apart()


def test_promises_of_one_panel_share_what_is_worked_out(monkeypatch):
    """Three promises about a ring of 40 steps, as written and shuffled: all kept, the pairs worked out once."""
    honest, calls = Exclusions._never_seen, []
    monkeypatch.setattr(Exclusions, "_never_seen", lambda self, until: calls.append(1) or honest(self, until))
    promises = tuple(
        Sentence("never together", "", (Is(f"K{one}", "in"), Is(f"K{other}", "in")))
        for one, other in ((1, 3), (10, 30), (38, 40))
    )
    for circuit in (ring(40), shuffled(ring(40), seed=1)):
        panel = Panel(Network(circuit))

        assert ["kept"] * 3 == [proof.outcome for proof in prove(panel.network, promises, panel=panel)]
    assert len(calls) == 2


def test_a_state_that_no_step_leads_on_from_is_a_state():
    """Where what is assumed forbids every step, what is bad at the start is bad all the same."""
    circuit = ring(4)
    cone = Cone(Panel(Network(circuit)), {device.tag for device in circuit.devices})
    cone.model.steps.append(FALSE)
    bad = cone.operated("K1") ^ 1

    assert not Exclusions(Step(cone, bad)).exclude(soon())
