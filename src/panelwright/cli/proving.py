"""Commands that look at everything that can happen: prove."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .. import api
from ..behaviour import fault_words
from ..behaviour.typed import typed, typed_trial
from ..circuit import Circuit, Expect, Sentence, Trial
from .answering import Answer, Code, files_argument, json_option
from .aside import aside
from .group import main, over
from .papers import Paper

if TYPE_CHECKING:
    from ..behaviour.proof.proving import Proof

WORDS = {"kept": "kept", "broken": "BROKEN", "not decided": "not decided"}
ENGINES = {"walk through all states": "a walk through all states"}
STOPPED = "Stopped; the promises that are not listed are not decided."
MEND = "mend: take one of these assumptions out, or let it say less."
SCOPE = "Proofs are about the drawn circuit, not about your panel; no performance level is claimed."


@main.command()
@files_argument
@click.option("--seconds", type=click.FloatRange(0.1), default=20.0, help="At most for each promise; 20 if not said.")
@click.option("--trial", "as_trial", is_flag=True, help="Each way to break a promise as a trial for the panel file.")
@click.option("--no-cache", is_flag=True, help="Prove everything anew; keep no answers for the next time.")
@json_option
def prove(files: tuple[str, ...], seconds: float, as_trial: bool, no_cache: bool, as_json: bool) -> None:
    """Prove the promises, over every state the circuit can reach."""
    from ..behaviour.proof.remembering import usual_folder

    cache = None if no_cache else usual_folder()
    over(files, as_json, "Proving", lambda paper, circuit: _proved(paper, circuit, seconds, cache, as_trial))


def _proved(paper: Paper, circuit: Circuit, seconds: float, cache: Path | None, as_trial: bool) -> Answer:
    from ..behaviour.proof.proving import Contradiction

    proofs: list[Proof] = []
    stopped = False
    try:
        for proof in aside(lambda say: api.prove(circuit, seconds=seconds, cache=cache, progress=say)):
            proofs.append(proof)
    except Contradiction as nothing:
        text = f"{paper.name}: {nothing}\nwhy:  from nothing at all everything follows, so nothing is proved.\n{MEND}"
        return Answer(Code.COULD_NOT, text, {"file": paper.name, "reason": str(nothing)})
    except KeyboardInterrupt:
        stopped = True
    lines = [line for proof in proofs for line in _told(proof, as_trial)]
    lines += [f"{'waived':12} {_waiver(promise)}" for promise in _waived(circuit)]
    lines += ["", *([STOPPED] if stopped else []), _verdict(proofs, paper.name), SCOPE]
    values: dict[str, Any] = {"file": paper.name, "promises": [_values(proof) for proof in proofs]}
    values["waived"] = [{"what": p.waives, "why": p.why} for p in _waived(circuit)]
    code = _code(proofs)
    if stopped:
        values["stopped"] = True
        code = Code.NOT_DECIDED if code == Code.FINE else code
    return Answer(code, "\n".join(lines), values, stopped)


def _waived(circuit: Circuit) -> list[Sentence]:
    return [promise for promise in circuit.promises if promise.form == "waive"]


def _waiver(promise: Sentence) -> str:
    at = f" at {', '.join(state.subject for state in promise.states)}" if promise.states else ""
    return f"{promise.waives}{at}: {promise.why}"


def _code(proofs: list[Proof]) -> Code:
    answers = {proof.as_promised for proof in proofs}
    return Code.FOUND if False in answers else Code.NOT_DECIDED if None in answers else Code.FINE


def _told(proof: Proof, as_trial: bool) -> Iterator[str]:
    """A line for each promise; under a broken one the shortest way to break it."""
    as_said = ", as the file says" if proof.outcome == "broken" and proof.as_promised else ""
    word = "broken" if as_said else WORDS[proof.outcome]
    yield f"{word:12} {proof.promise.text}{as_said}"
    if proof.never_occurs and proof.promise.span is not None:
        yield f"{'':13}but what it speaks of never comes about: is it what you meant?"
    if proof.outcome == "not decided":
        yield f"{'':13}{proof.reason}"
    yield from (f"{'':13}{line}" for line in proof.whole_story)
    if proof.trial is not None and as_trial:
        yield from (f"{'':13}{row}" for row in typed_trial(proof.trial).splitlines())
    elif proof.trial is not None and not as_said and _steps(proof.trial):
        yield f'{"":13}try it: --do "{_steps(proof.trial)}"'
    if proof.trial is not None and not proof.fails and (as_trial or not as_said):
        yield f"{'':13}with the times of the catalogue nothing goes wrong in it; others are possible"
    yield from (f"{'':13}{note}" for note in proof.notes)


def _steps(trial: Trial) -> str:
    """What is done in a trial, as it would be typed; what is expected is left out."""
    return "; ".join(typed(step) for step in trial.steps if not isinstance(step, Expect))


def _verdict(proofs: list[Proof], name: str) -> str:
    counts = {word: sum(proof.outcome == word for proof in proofs) for word in WORDS}
    told = ", ".join(f"{count} {word}" for word, count in counts.items() if count)
    assumed = sorted({sentence.text for proof in proofs for sentence in proof.assumed})
    models = list(dict.fromkeys(proof.model for proof in proofs if proof.model))
    rest = f"\nModel of time: {'; '.join(models)}." if models else ""
    rest += f"\nAssumed: {'; '.join(assumed)}." if assumed else ""
    rest += f"\nHow decided: {_ways(proofs)}." if _ways(proofs) else ""
    return f"{len(proofs)} promises in {name}: {told or 'none'}.{rest}"


def _ways(proofs: list[Proof]) -> str:
    """How the promises were decided, and by what else the answers were checked."""
    ways = [(proof.engine, *_checked(proof)) for proof in proofs if proof.outcome != "not decided" and proof.engine]
    each = sorted(set(ways), key=lambda way: (-ways.count(way), ways.index(way)))
    also = {way: f", also by {', '.join(way[1:])}" if way[1:] else "" for way in each}
    return "; ".join(f"{ways.count(way)} by {ENGINES.get(way[0], way[0])}{also[way]}" for way in each)


def _checked(proof: Proof) -> tuple[str, ...]:
    return (*proof.checked, *(["a trial"] if proof.fails else []))


def _values(proof: Proof) -> dict[str, Any]:
    return {
        "promise": proof.promise.text,
        "outcome": proof.outcome,
        "as_promised": proof.as_promised,
        "model": proof.model,
        "assumed": [sentence.text for sentence in proof.assumed],
        "not_used": [sentence.text for sentence in proof.unused],
        "faults": [fault_words(fault) for fault in proof.faults],
        "story": list(proof.story),
        "steps": _steps(proof.trial) if proof.trial else None,
        "trial": typed_trial(proof.trial) if proof.trial else None,
        "trial_fails": proof.fails,
        "decided_by": proof.engine,
        "also_by": list(_checked(proof)),
        "bound": proof.bound,
        "reason": proof.reason,
        "never_occurs": proof.never_occurs,
        "notes": list(proof.notes),
    }
