"""What becomes of promises with faults: known cases, and the proofs against trials."""

from __future__ import annotations

from pathlib import Path

import pytest

import panelwright as pw
from panelwright.behaviour import Run
from panelwright.circuit import Do
from panelwright.faults import fault_list
from panelwright.faults.effects import EffectMaker, by_danger
from panelwright.faults.proving import together
from panelwright.faults.spread import effect_table

EXAMPLES = Path(__file__).parents[2] / "examples"
PUMP = (EXAMPLES / "orchard" / "well-pump.panel").read_text(encoding="utf-8")
RUNG = "S1.nc  ( S2.no | K1.no1 )  K1.coil"
STOP, RESTART = "K1 drops out when S1 is pressed", "nothing starts when power returns"


def made(text: str = PUMP):
    """A maker, and its faults by their words."""
    wiring = pw.wire(pw.read(text).circuit)
    return EffectMaker(wiring), {one.words: one for one in fault_list(wiring)}


@pytest.fixture(scope="module")
def pump():
    """The well pump."""
    return made()


@pytest.mark.parametrize(
    ("words", "danger", "broken"),
    [
        ("S1.11-12 stuck closed", "dangerous", {STOP}),
        ("S1 stuck released", "dangerous", {STOP}),
        ("K1 stuck in", "dangerous", {STOP}),
        ("K1.9 fed from S1.11", "dangerous", {STOP}),
        ("S2.13-14 stuck closed", "dangerous", {RESTART}),
        ("K1.coil open", "safe", {"K1 picks up when S2 is pressed unless S1 is pressed"}),
        ("H1.lamp open", "safe", {"H1 is lit exactly while K1 is in"}),
        ("H2.lamp open", "shown", set()),
        ("S1.12 touches earth", "safe", {"no short circuit", "K1 picks up when S2 is pressed unless S1 is pressed"}),
        ("S2.13 and S2.14 exchanged", "harmless", set()),
    ],
)
def test_known_faults_of_a_start_stop(pump, words: str, danger: str, broken: set[str]) -> None:
    """Common practice, no source: what anybody who wires start-stops knows of these faults."""
    maker, faults = pump
    effect = maker.effect(faults[words])
    found = {c.promise.text for c, cell in zip(maker.columns, effect.cells, strict=True) if cell.outcome == "broken"}

    assert (danger, broken) == (effect.danger, found)


def test_contacts_on_the_earthed_side_make_an_earth_fault_dangerous() -> None:
    """Behind the coil an earth fault stands in for the start contact, or for the stop; ahead of it, it blows a fuse."""
    dangerous = {}
    for rung in (RUNG, "S1.nc  K1.coil  ( S2.no | K1.no1 )", "( S2.no | K1.no1 )  K1.coil  S1.nc"):
        maker, faults = made(PUMP.replace(RUNG, rung))
        earth = [maker.effect(one) for words, one in faults.items() if words.endswith("touches earth")]
        dangerous[rung] = sum(effect.danger == "dangerous" for effect in earth)

    assert [0, 1, 1] == list(dangerous.values())


def test_a_hold_in_around_the_stop_is_not_asked_with_faults() -> None:
    """Without a fault the stop does not stop already; the table says so instead of counting it for every fault."""
    maker, faults = made(PUMP.replace(RUNG, "( S1.nc  S2.no | K1.no1 )  K1.coil"))
    cells = dict(zip((c.promise.text for c in maker.columns), maker.effect(faults["K1.coil open"]).cells, strict=True))

    assert "not asked" == cells[STOP].outcome


def test_what_comes_and_goes_is_never_called_kept(pump) -> None:
    """A bounce, a flutter, a small supply, a broken spring: no proof, whatever the walk shows."""
    maker, faults = pump
    for words in ("K1.9-5 bounces", "S1.11-12 loose", "S2 spring broken", "G1 gives at most 1.2 A"):
        outcomes = {cell.outcome for cell in maker.effect(faults[words]).cells}

        assert {"not decided"} == outcomes, words


def test_a_stop_proved_kept_stops_in_a_run(pump) -> None:
    """Every fault with which the stop is proved kept: started and stopped in a run, the relay is out in the end."""
    maker, faults = pump
    at = [column.promise.text for column in maker.columns].index(STOP)
    for one in faults.values():
        if maker.effect(one).cells[at].outcome == "kept" and one.kind != "assumption":
            run = Run(maker.bench.network)
            run.put_in(one.fault)
            run.do(Do("tap", ("S2",))).do(Do("press", ("S1",)))

            assert run.state.word("K1") != "in", one.words


def test_two_faults_at_once_are_put_in_together(pump) -> None:
    """A welded stop and an open coil: the coil keeps the pump stopped."""
    maker, faults = pump
    broken = together(maker.bench, (faults["S1.11-12 stuck closed"].fault, faults["K1.coil open"].fault))
    at = [column.promise.text for column in maker.columns].index(STOP)

    assert "kept" == maker.asked(maker.columns[at], broken).outcome


def test_any_split_gives_the_same_table(pump) -> None:
    """One process, and two with a portion each."""
    maker, faults = pump
    some = [one for one in faults.values() if one.kind in ("contact-welded", "coil-open", "lamp-out", "wire-open")][:20]
    alone, split = (effect_table(maker.bench.wiring, some, cores=cores) for cores in (1, 2))

    assert alone.effects == split.effects == by_danger(map(maker.effect, some))


@pytest.mark.parametrize(
    ("name", "words", "danger"),
    [
        ("circuits/c25-start-on-earthed-side", "@3 touches earth", "dangerous"),
        ("circuits/c35-breaker-anti-pump", "K7.coil open", None),
    ],
)
def test_published_circuits_come_out_as_stated(name: str, words: str, danger: str | None) -> None:
    """The earthed-side start runs by an earth fault; the list of every file has the faults that its trials put in."""
    wiring = pw.wire(pw.read_file(EXAMPLES / f"{name}.panel").circuit)
    found = next(one for one in fault_list(wiring) if one.words == words)
    if danger is not None:
        assert danger == EffectMaker(wiring).effect(found).danger
