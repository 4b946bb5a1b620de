"""Answers kept on disk, found again by what they depend on: the same question is not asked twice.

The name of an answer is a digest of the model that the question is about: the gates of its devices, their times, the
assumptions in it, the sentence and the program itself. A comment, a label or a rung that does not matter to a promise
leaves its name as it is. Where a coil may get part of its volts, everything electrical belongs to the name as well.
Files are JSON with a digest of their own; whatever cannot be read, or was written by another program, is passed over.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from dataclasses import asdict, replace
from functools import cache
from hashlib import blake2b
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ...circuit import Do, Sentence, nets_of
from ...electrics import DeviceState, rest_state
from ...electrics.gates import INPUT, GateBuilder
from .asking import Asking, atoms_of
from .assuming import assume
from .cone import Cone
from .courses import Moment
from .monitors import Watch
from .panel import Panel

if TYPE_CHECKING:
    from .proving import Proof

MOST_ANSWERS = 20_000  # beyond it the older half is thrown away
PACKAGES = ("circuit", "electrics", "behaviour")  # whose source decides what comes out


def usual_folder() -> Path:
    """Where answers are kept: the folder PANELWRIGHT_CACHE names, else the user's own for such things."""
    from platformdirs import user_cache_path

    named = os.environ.get("PANELWRIGHT_CACHE")
    return Path(named) if named else user_cache_path("panelwright", appauthor=False) / "proofs"


class Memory:
    """Answers in one folder. Nothing is ever raised: what cannot be read or written is worked out again."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def recall(self, name: str, promise: Sentence, panel: Panel, seconds: float) -> Proof | None:
        """The answer of this name, None when there is none that can be used.

        `seconds`: how long may be taken for it; what was left open in less is asked again.
        """
        try:
            text = self._path(name).read_text(encoding="utf-8")
            digest, _, body = text.partition("\n")
            if digest != _digest([body]):
                return None
            return _read(json.loads(body), promise, panel, seconds)
        except (OSError, ValueError, KeyError, TypeError, IndexError, AttributeError):
            return None

    def keep(self, name: str, proof: Proof, seconds: float) -> None:
        """Write an answer, whole or not at all. `seconds`: how long might be taken for it."""
        body = json.dumps(_written(proof) | {"seconds": seconds})
        path = self._path(name)
        part = path.with_suffix(f".{os.getpid()}.part")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            part.write_text(f"{_digest([body])}\n{body}", encoding="utf-8")
            part.replace(path)
        except OSError:
            return

    def tidy(self) -> None:
        """Throw the older half away when there are too many."""
        try:
            paths = [(path.stat().st_mtime, path) for path in self.folder.glob("??/*.json")]
            if len(paths) > MOST_ANSWERS:
                for _, path in sorted(paths)[: len(paths) // 2]:
                    path.unlink(missing_ok=True)
        except OSError:
            return

    def _path(self, name: str) -> Path:
        return self.folder / name[:2] / f"{name[2:]}.json"


# ---- the name of an answer
def name_of(panel: Panel, promise: Sentence, tags: Iterable[str], watch: Watch | None, cone: Cone) -> str:
    """The name of the answer to one promise. `watch`: what the sentence forbids, None where clocks tell it.

    `cone`: of the devices `tags`, not assumed about yet.
    """
    assumed = assume(cone, panel.circuit.assumptions)
    model, gates = cone.model, cone.model.gates
    sentences = [promise, *assumed.used, *assumed.unused]
    texts = [_program(), *(repr(replace(s, text="", not_kept=False, why="", span=None)) for s in sentences)]
    devices = [device for device in panel.circuit.devices if device.tag in set(tags) | cone.tags]
    texts += [f"{device.tag} {device.mechanism} {device.release_factor}" for device in devices]
    tagged = {device.tag for device in devices}  # which of its contacts are wired says when a device counts as moved
    texts += [f"{tag}{arm} {sorted(forms)}" for (tag, arm), forms in sorted(panel.forms.items()) if tag in tagged]
    texts += [f"{tag} {at}" for tag, at in sorted(panel.stuck.items())]
    texts.append(repr(panel.injected.delays + panel.injected.paces) if panel.injected else "")
    texts += [f"{bit.name} {bit.start} {bit.tag} {bit.input}" for bit in model.bits]
    texts += [f"waived {p.waives} {s.subject}" for p in panel.circuit.promises if p.waives for s in p.states]
    roots = [literal for bit in model.bits for literal in (bit.now, bit.next)]
    roots += [*model.always, *model.steps, *(lit for move in model.moves for lit in (move.restless, move.pending))]
    asking = Asking(cone)
    roots += [asking.state(state) for sentence in sentences for state in atoms_of(sentence)]
    if watch is not None:
        roots += [watch.bad, watch.occurs, watch.during, watch.lacking]
    texts.append(_as_built(gates, roots))
    if any(name.startswith("?half fed") for name in gates.inputs):
        texts += _electrical(panel)
    return _digest(texts)


def _electrical(panel: Panel) -> list[str]:
    """Everything that volts depend on."""
    circuit = panel.circuit
    parts = [f"{device.tag} {part!r}" for device in circuit.devices for part in device.parts]
    nets = [" ".join(sorted(net.terminals)) for net in nets_of(circuit)]
    return [*parts, *sorted(nets), repr(panel.network.edits)]


def _as_built(gates: GateBuilder, roots: list[int]) -> str:
    """The gates below some literals, numbered as they are met: equal for equal gates, whatever else there is."""
    names = {literal >> 1: name for name, literal in gates.inputs.items()}
    number: dict[int, int] = {0: 0}
    found: list[str] = []
    for root in roots:
        waiting = [root >> 1]
        while waiting:
            node = waiting[-1]
            if node in number:
                waiting.pop()
                continue
            left, right = gates.left[node], gates.right[node]
            missing = [] if left == INPUT else [n for n in (left >> 1, right >> 1) if n not in number]
            if missing:
                waiting += missing
                continue
            number[node] = len(number)
            both = sorted(2 * number[lit >> 1] + (lit & 1) for lit in (left, right)) if left != INPUT else []
            found.append(f"{both[0]} {both[1]}" if both else names[node])
            waiting.pop()
    found.append(" ".join(str(2 * number[lit >> 1] + (lit & 1)) for lit in roots))
    return "\n".join(found)


@cache
def _program() -> str:
    """The source that decides what comes out: another program gives other names."""
    root = Path(str(files("panelwright")))
    paths = sorted(path for package in PACKAGES for path in (root / package).rglob("*.py"))
    return _digest(path.read_text(encoding="utf-8") for path in paths)


def _digest(texts: Iterable[str]) -> str:
    word = blake2b(digest_size=20)
    for text in texts:
        word.update(text.encode() + b"\0")
    return word.hexdigest()


# ---- an answer as JSON
def _written(proof: Proof) -> dict[str, Any]:
    return {
        "outcome": proof.outcome,
        "model": proof.model,
        "engine": proof.engine,
        "checked": list(proof.checked),
        "bound": proof.bound,
        "reason": proof.reason,
        "never_occurs": proof.never_occurs,
        "story": list(proof.story),
        "notes": list(proof.notes),
        "used": [repr(_bare(sentence)) for sentence in proof.assumed],
        "unused": [repr(_bare(sentence)) for sentence in proof.unused],
        "course": [_moment_written(moment) for moment in proof.course],
    }


def _bare(sentence: Sentence) -> Sentence:
    return replace(sentence, text="", why="", span=None)


def _moment_written(moment: Moment) -> dict[str, Any]:
    return {
        "done": [[do.verb, list(do.targets), do.value] for do in moment.done],
        "moved": [list(pair) for pair in moment.moved],
        "states": {tag: asdict(state) | {"blown": sorted(state.blown)} for tag, state in moment.states.items()},
        "at_s": moment.at_s,
    }


def _read(values: dict[str, Any], promise: Sentence, panel: Panel, seconds: float) -> Proof | None:
    """The answer; None when it was left open in less time. Raises KeyError, TypeError and the like for nonsense."""
    from .proving import Proof

    if values["outcome"] not in ("kept", "broken", "not decided"):
        raise ValueError(f"{values['outcome']} is no outcome")
    if values["outcome"] == "not decided" and values["seconds"] < seconds:
        return None
    by_text = {repr(_bare(sentence)): sentence for sentence in panel.circuit.assumptions}
    course = tuple(_moment_read(one, panel) for one in values["course"])
    return Proof(
        promise,
        values["outcome"],
        str(values["model"]),
        tuple(by_text[text] for text in values["used"]),
        tuple(by_text[text] for text in values["unused"]),
        course,
        tuple(str(line) for line in values["story"]),
        int(values["bound"]),
        str(values["reason"]),
        never_occurs=bool(values["never_occurs"]),
        engine=str(values["engine"]),
        checked=tuple(str(one) for one in values["checked"]),
        notes=tuple(str(note) for note in values["notes"]),
    )


def _moment_read(values: dict[str, Any], panel: Panel) -> Moment:
    """One moment; devices that the question did not depend on, and that are new, stand as they do at rest."""
    states = {
        tag: DeviceState(**(state | {"blown": frozenset(state["blown"])})) for tag, state in values["states"].items()
    }
    everyone = {device.tag: states.get(device.tag) or _at_rest(panel, device.tag) for device in panel.circuit.devices}
    done = tuple(Do(verb, tuple(targets), value) for verb, targets, value in values["done"])
    for do in done:
        for tag in do.targets:
            panel.circuit.by_tag[tag]  # a device that is not there any more
    moved = tuple((str(tag), str(what)) for tag, what in values["moved"])
    return Moment(done, moved, everyone, values["at_s"])


def _at_rest(panel: Panel, tag: str) -> DeviceState:
    return rest_state(panel.circuit.by_tag[tag])
