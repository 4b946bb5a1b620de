"""Commands that work the circuit: try."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import click

from .. import api
from ..circuit import Circuit
from ..telling import problem_values, told_problem, told_problems
from .answering import Answer, Code, files_argument, json_option
from .group import main, over
from .papers import Paper

if TYPE_CHECKING:
    from ..behaviour import Run, Trace, TrialResult

LEAST_SHOWN_V = 0.05  # below it a load is said to have nothing


@main.command("try")
@files_argument
@click.option("--do", "steps", metavar="STEPS", help='Take these steps instead, as in "press S2; wait 2 s".')
@click.option("--tell", is_flag=True, help="Tell what happens in each trial, not only how it ends.")
@json_option
def try_(files: tuple[str, ...], steps: str | None, tell: bool, as_json: bool) -> None:
    """Run the trials of the file, or the steps of --do."""
    if steps is None:
        over(files, as_json, "Trying", lambda paper, circuit: _tried(paper, circuit, tell), _in_all)
    else:
        over(files, as_json, "Working", lambda paper, circuit: _done(paper, circuit, steps))


def _tried(paper: Paper, circuit: Circuit, tell: bool) -> Answer:
    results = api.try_trials(circuit)
    lines: list[str] = []
    for result in results:
        lines.append(f"{'passed' if result.passed else 'FAILED'}  {result.trial.name}")
        lines += [f"        but {remark.message}: {remark.why}" for remark in result.remarks]
        lines += _story(result.trace) if tell else []
    for result in results:
        lines += _failures(result, paper.name, paper.text.split("\n"))
    failed = sum(not one.passed for one in results)
    lines += ["", _verdict(len(results), failed, paper.name)]
    values = {"file": paper.name, "trials": [_result_values(one) for one in results]}
    return Answer(Code.FOUND if failed else Code.FINE, "\n".join(lines).lstrip("\n"), values)


def _failures(result: TrialResult, name: str, text: list[str]) -> Iterator[str]:
    """The first failure of a trial in full; the others mostly follow from it, so one line each."""
    for first, failure in zip((True, *[False] * len(result.failures)), result.failures, strict=False):
        if first:
            yield ""
            if result.trial.name:
                yield f'In the trial "{result.trial.name}":'
            yield from told_problem(failure.problem, name, text)
        else:
            yield "then: " + next(told_problem(failure.problem, name, text))


def _story(trace: Trace) -> Iterator[str]:
    """Time, what was done, and under it what followed."""
    for sentence in api.story_of(trace):
        yield f"{sentence.now:9.3f} s  {sentence.reason}"
        yield from (f"{'':13}{follows}" for follows in sentence.follows or ("nothing changes",))


def _verdict(count: int, failed: int, name: str) -> str:
    if not count:
        return f'No trials in {name}: nothing was tried. Write one under trial "Name", or give steps with --do.'
    noun = "trial" if count == 1 else "trials"
    return f"{count} {noun} in {name}, {f'{failed} failed' if failed else 'all passed'}."


def _in_all(values: list[dict[str, Any]]) -> str:
    results = [trial["passed"] for one in values for trial in one.get("trials", ())]
    failed = results.count(False)
    unread = sum("trials" not in one for one in values)
    told = f"{len(results)} trials, {f'{failed} failed' if failed else 'all passed'}"
    return f"{told}; {unread} could not be read" if unread else told


def _result_values(result: TrialResult) -> dict[str, Any]:
    return {
        "name": result.trial.name,
        "passed": result.passed,
        "seconds": round(result.seconds, 6),
        "story": [
            {"at_s": round(one.now, 6), "reason": one.reason, "follows": list(one.follows)}
            for one in api.story_of(result.trace)
        ],
        "remarks": [problem_values(remark) for remark in result.remarks],
        "failures": [{**problem_values(one.problem), "at_s": round(one.now, 6)} for one in result.failures],
    }


def _done(paper: Paper, circuit: Circuit, typed: str) -> Answer:
    """The steps typed, taken one after the other and told."""
    steps, problems = api.read_steps(typed, circuit)
    if problems:
        text = told_problems(problems, "--do", typed)
        return Answer(Code.COULD_NOT, text, {"file": paper.name, "problems": [*map(problem_values, problems)]})
    run, result = api.work(circuit, steps)
    standing = dict(_standing(run))
    lines = [*_story(run.trace), *_failures(result, "--do", typed.split("\n"))]
    lines += ["", f"After {run.now:.3f} s", *(f"  {tag:6} {words}" for tag, words in standing.items())]
    values = {"file": paper.name, "state": standing, **_result_values(result)}
    return Answer(Code.FINE if result.passed else Code.FOUND, "\n".join(lines).lstrip("\n"), values)


def _standing(run: Run) -> Iterator[tuple[str, str]]:
    """Where every device stands, and what flows in its loads."""
    from ..behaviour.explaining import level_text

    for device in run.circuit.devices:
        if device.sources or not (device.loads or device.motors or device.contacts):
            continue
        sorts = [load.sort for load in device.loads if not load.drives]
        words = [run.state.word(device.tag, {"lamp": "lit", "sounder": "sounding"}.get(sorts[0] if sorts else "", ""))]
        for load in device.loads:
            answer = run.state.solution.loads[f"{device.tag}.{load.name}"]
            if answer.volts.effective >= LEAST_SHOWN_V:
                words.append(f"{level_text(answer.volts)}, {level_text(answer.amps, 'A')}")
        yield device.tag, "  ".join(words)
