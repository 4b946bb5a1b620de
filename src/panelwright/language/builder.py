"""From a parsed line to the values of the circuit; names are not looked up yet."""

from __future__ import annotations

import re
from typing import Any

from lark import Token, Transformer

from panelwright.catalog import read_quantity
from panelwright.circuit import (
    AllOf,
    AnyOf,
    Condition,
    Do,
    Expect,
    Fault,
    Happens,
    Here,
    Inject,
    Is,
    Item,
    Mend,
    Not,
    Parallel,
    Series,
    Span,
    Use,
)

_VERB_STATES = {
    "pick": "in", "pull": "in", "drop": "out", "light": "lit", "goes": "dark", "go": "dark", "sound": "sounding",
    "fall": "silent", "start": "running", "run": "running", "stop": "stopped", "make": "made", "clear": "clear",
    "trip": "tripped", "energise": "in", "energize": "in", "de-energise": "out", "de-energize": "out",
}  # fmt: skip
_STATE_WORDS = {"energised": "in", "energized": "in", "de-energised": "out", "de-energized": "out"}


def verb_state(verb: str) -> str:
    """The state that a verb leads to ("picks up" -> "in")."""
    if verb.split()[-1] in ("on", "off"):  # comes on, goes off
        return verb.split()[-1]
    first = verb.split()[0]
    return _VERB_STATES.get(first) or _VERB_STATES[first.removesuffix("s")]


def tag_of(text: str) -> str:
    """A tag without its leading dash."""
    return text[1:] if text[:1] == "-" and text[1:].lstrip("0123456789")[:1].isupper() else text


def unquoted(text: str) -> str:
    """What stands between the quotes."""
    return text[1:-1].replace('""', '"')


def amount(token: Token) -> float:
    """A quantity token in SI units."""
    quantity = read_quantity(re.sub(r"\s+(dc|ac)$", "", str(token)))
    return float(f"{quantity.value:.12g}") if quantity else 0.0  # 100 nF is 1e-07, not 1.0000000000000001e-07


class Subject(str):
    """A name with its place in the line."""

    span: Span


class Builder(Transformer[Token, Any]):
    """Turns one tree into values. `line` is the file's line on which the statement starts, `text` its text."""

    def __init__(self, line: int, text: str) -> None:
        super().__init__()
        self.line = line
        self.text = text

    def span(self, token: Token) -> Span:
        """Where a token stands in the file."""
        return Span(self.line + (token.line or 1) - 1, token.column or 1, max(1, len(token)))

    def whole(self) -> Span:
        """The statement from its first to its last character on the first line."""
        first = self.text.split("\n", 1)[0]
        start = len(first) - len(first.lstrip())
        return Span(self.line, start + 1, max(1, len(first.strip())))

    # ---- rungs
    def use(self, children: list[Token]) -> Use:
        tag, _, part = tag_of(children[0]).partition(".")
        return Use(tag, part, span=self.span(children[0]))

    def here(self, children: list[Token]) -> Here:
        return Here(children[0][1:], self.span(children[0]))

    def branch(self, children: list[Item]) -> Series:
        return Series(tuple(children))

    def group(self, children: list[Series]) -> Item:
        branches = tuple(child for child in children if isinstance(child, Series))
        return branches[0] if len(branches) == 1 else Parallel(branches)

    def rung(self, children: list[Any]) -> tuple[Series, str]:
        text = unquoted(children.pop()) if children and isinstance(children[-1], Token) else ""
        return Series(tuple(children)), text

    # ---- power paths
    def path_use(self, children: list[Token]) -> tuple[str, str, Span]:
        return "use", tag_of(children[0]), self.span(children[0])

    def path_point(self, children: list[Token]) -> tuple[str, str, Span]:
        return "point", str(children[0]), self.span(children[0])

    def path_rail(self, children: list[Token]) -> tuple[str, str, Span]:
        return "rail", str(children[0]), self.span(children[0])

    def swap(self, children: list[Token]) -> tuple[str, str, Span]:
        return "swap", f"{children[0]} {children[1]}", self.span(children[0])

    def star(self, _: list[Token]) -> tuple[str, str, Span]:
        return "star", "", self.whole()

    def path(self, children: list[Any]) -> tuple[tuple[tuple[str, str, Span], ...], str]:
        text = unquoted(children.pop()) if children and isinstance(children[-1], Token) else ""
        return tuple(children), text

    # ---- conditions
    def subject(self, children: list[Token]) -> Subject:
        name = Subject(tag_of(children[0]))
        name.span = self.span(children[0])
        return name

    def power(self, _: list[Token]) -> Subject:
        name = Subject("power")
        name.span = self.whole()
        return name

    def subjects(self, children: list[Subject]) -> tuple[Subject, ...]:
        return tuple(children)

    any_subjects = subjects

    def state(self, children: list[Token]) -> tuple[str, str]:
        word, _, rest = str(children[0]).partition(" ")
        return _STATE_WORDS.get(word, word), rest.strip().removesuffix("s")

    def at(self, children: list[Token]) -> tuple[str, str]:
        return "at", str(children[0])

    def _atoms(self, children: list[Any]) -> list[Condition]:
        subjects, (state, value) = children[0], children[-1]
        plain: list[Condition] = [Is(str(subject), state, value) for subject in subjects]
        return [Not(one) for one in plain] if len(children) == 3 else plain

    def atom(self, children: list[Any]) -> Condition:
        atoms = self._atoms(children)
        return atoms[0] if len(atoms) == 1 else AllOf(tuple(atoms))

    def any_atom(self, children: list[Any]) -> Condition:
        return AnyOf(tuple(self._atoms(children)))

    def all_of(self, children: list[Condition]) -> Condition:
        return AllOf(tuple(children))

    def any_of(self, children: list[Condition]) -> Condition:
        return AnyOf(tuple(children))

    def unless(self, children: list[Condition]) -> tuple[str, Condition]:
        return "unless", children[0]

    # ---- events
    def event(self, children: list[Any]) -> Happens:
        subjects, word = children[0], str(children[1])
        state, value = self.state([children[1]]) if children[1].type == "STATE" else (verb_state(word), "")
        atoms: list[Condition] = [Is(str(subject), state, value) for subject in subjects]
        return Happens(atoms[0] if len(atoms) == 1 else AllOf(tuple(atoms)))

    def turns(self, children: list[Any]) -> Happens:
        return Happens(Is(str(children[0][0]), "at", str(children[1])))

    def power_event(self, children: list[Token]) -> Happens:
        return Happens(Is("power", "on" if children[0] == "returns" else "off"))

    def supply_event(self, children: list[Any]) -> Happens:
        return Happens(Is(str(children[0]), "on" if children[1] == "returns" else "off"))

    # ---- faults
    def spot(self, children: list[Token]) -> Subject:
        return self.subject(children)

    part = spot

    def earth(self, _: list[Token]) -> Subject:
        name = Subject("earth")
        name.span = self.whole()
        return name

    def _fault(self, form: str, subject: str, other: str = "", value: float | None = None) -> Fault:
        return Fault(form, str(subject), str(other), value, "", self.whole())

    def f_plain(self, c: list[Any]) -> Fault:
        return self._fault(" ".join(str(c[1]).split()), c[0])

    def f_touches(self, c: list[Any]) -> Fault:
        return self._fault("touches", c[0], c[1])

    def f_wire(self, c: list[Any]) -> Fault:
        return self._fault("wire open", c[0], c[1])

    def f_at(self, c: list[Any]) -> Fault:
        volts = re.search(r"V", str(c[1])) is not None
        return self._fault("supply at" if volts else "time at", c[0], value=amount(c[1]))

    def f_exchanged(self, c: list[Any]) -> Fault:
        return self._fault("exchanged", c[0], c[1])

    def f_in_place(self, c: list[Any]) -> Fault:
        return self._fault("in place of", c[0], c[1])

    def f_landed(self, c: list[Any]) -> Fault:
        return self._fault("landed on", c[0], c[1])

    def f_resistance(self, c: list[Any]) -> Fault:
        return self._fault("resistance", c[1], value=amount(c[0]))

    def f_wire_resistance(self, c: list[Any]) -> Fault:
        return self._fault("resistance", c[1], c[2], amount(c[0]))

    def f_between(self, c: list[Any]) -> Fault:
        form = "capacitance" if "F" in str(c[0]) else "leakage"
        return self._fault(form, c[1], c[2] if len(c) > 2 else "", amount(c[0]))

    def f_fed(self, c: list[Any]) -> Fault:
        return self._fault("fed from", c[0], c[1])

    def f_parallel(self, c: list[Any]) -> Fault:
        return self._fault("in parallel", c[0], c[1])

    def f_coupled(self, c: list[Any]) -> Fault:
        return self._fault("coupled", c[0], c[1], amount(c[2]))

    def f_weak(self, c: list[Any]) -> Fault:
        return self._fault("weak supply", c[0], value=amount(c[2]))

    def f_assumption(self, c: list[Any]) -> Fault:
        return self._fault("assumption broken", str(c[0]))

    # ---- trials
    def _do(self, verb: str, targets: tuple[Subject, ...] = (), value: str = "", seconds: float | None = None) -> Do:
        span = targets[0].span if targets else self.whole()
        return Do(verb, tuple(str(t) for t in targets), value, seconds, span=span)

    def act_press(self, c: list[Any]) -> Do:
        verb = " ".join(str(c[0]).split())
        return self._do("tap" if verb == "press and release" else verb, c[1])

    def act_hold(self, c: list[Any]) -> Do:
        return self._do("hold", c[0], seconds=amount(c[1]))

    def act_turn(self, c: list[Any]) -> Do:
        return self._do("turn", c[0], str(c[1]))

    def act_verb(self, c: list[Any]) -> Do:
        return self._do(str(c[0]), c[1])

    def act_switch(self, c: list[Any]) -> Do:
        return self._do(f"switch-{c[0]}", c[1])

    def act_push_in(self, c: list[Any]) -> Do:
        return self._do("push-in", c[0])

    def act_renew(self, c: list[Any]) -> Do:
        return self._do("renew", c[0])

    def act_power(self, c: list[Any]) -> Do:
        seconds = next((amount(x) for x in c[1:] if isinstance(x, Token)), None)
        targets = next((x for x in c[1:] if isinstance(x, tuple)), ())
        return self._do(f"power-{c[0]}", targets, seconds=seconds)

    def act_wait(self, c: list[Any]) -> Do:
        return self._do("wait", seconds=amount(c[0]))

    def do(self, c: list[Do]) -> Do:
        first, *also = c
        return Do(first.verb, first.targets, first.value, first.seconds, tuple(also), span=first.span)

    def inject(self, c: list[Fault]) -> Inject:
        return Inject(c[0], c[0].span)

    def lift(self, c: list[Subject]) -> Inject:
        return Inject(self._fault("lifted", c[0]), c[0].span)

    def land(self, c: list[Subject]) -> Mend:
        return Mend(str(c[0]), c[0].span)

    def bridge(self, c: list[Subject]) -> Inject:
        return Inject(self._fault("touches", c[0], c[1]), c[0].span)

    def mend(self, c: list[Subject]) -> Mend:
        return Mend(str(c[0]) if c else "", c[0].span if c else self.whole())

    def expect(self, c: list[tuple[Expect, ...]]) -> tuple[Expect, ...]:
        return tuple(one for several in c for one in several)

    def e_state(self, c: list[Any]) -> tuple[Expect, ...]:
        within = amount(c.pop()) if isinstance(c[-1], Token) and c[-1].type == "QUANTITY" else None
        state, value = c[-1]
        state = f"not {state}" if len(c) == 3 else state
        return tuple(Expect("state", Is(str(s), state, value), within=within, span=s.span) for s in c[0])

    def e_stays(self, c: list[Any]) -> tuple[Expect, ...]:
        seconds = amount(c[-1])
        state, value = c[-2]
        return tuple(Expect("stays", Is(str(s), state, value), seconds=seconds, span=s.span) for s in c[0])

    def e_never(self, c: list[Any]) -> tuple[Expect, ...]:
        return (Expect("never", condition=c[0], span=self.whole()),)

    def e_buzzes(self, c: list[Any]) -> tuple[Expect, ...]:
        return tuple(Expect("buzzes", subject=str(s), span=s.span) for s in c[0])

    def e_event(self, c: list[Token]) -> tuple[Expect, ...]:
        word = " ".join(str(c[-1]).split())
        form = {"buzzing": "buzzes"}.get(word, word) if len(c) == 1 else f"no {word}"
        return (Expect(form, span=self.span(c[-1])),)

    def e_across(self, c: list[Any]) -> tuple[Expect, ...]:
        return (self._reading("volts", c, c[-1]),)

    def e_between(self, c: list[Any]) -> tuple[Expect, ...]:
        return (self._reading("volts", c[:-1], c[-2], str(c[-1])),)

    def e_amps(self, c: list[Any]) -> tuple[Expect, ...]:
        return (self._reading("amps", c, c[-1]),)

    def _reading(self, form: str, c: list[Any], subject: Subject, other: str = "") -> Expect:
        amounts = [amount(x) for x in c if isinstance(x, Token) and x.type == "QUANTITY"]
        tolerance = amounts[1] if len(amounts) > 1 else None
        return Expect(form, None, str(subject), other, amounts[0], tolerance, span=subject.span)

    def steps(self, c: list[Any]) -> tuple[Any, ...]:
        flat: list[Any] = []
        for step in c:
            flat.extend(step if isinstance(step, tuple) else [step])
        return tuple(flat)
