"""Promises and assumptions: from a parsed line to a Sentence."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from lark import Token, Tree

from panelwright.circuit import AnyOf, Condition, Fault, Is, Sentence

from .builder import Builder, Subject, amount, unquoted, verb_state


def _bound(word: str) -> str:
    return "stays at least" if word.split()[1] == "least" else "stays at most"


class SentenceBuilder(Builder):
    """Promises and assumptions."""

    def _sentence(self, form: str, **facts: Any) -> Sentence:
        return Sentence(form, "", span=self.whole(), **facts)

    def _states(self, subjects: tuple[Subject, ...], state: str, value: str = "") -> tuple[Is, ...]:
        return tuple(Is(str(subject), state, value) for subject in subjects)

    def _stated(self, c: list[Any]) -> tuple[tuple[Is, ...], list[Any]]:
        """The states of "subjects [not] state" at the head of `c`, and the rest."""
        subjects, rest = c[0], c[1:]
        negated = isinstance(rest[0], Token)
        state, value = rest[1] if negated else rest[0]
        return self._states(subjects, f"not {state}" if negated else state, value), rest[2 if negated else 1 :]

    def _unless(self, rest: list[Any]) -> Condition | None:
        return next((x[1] for x in rest if isinstance(x, tuple) and len(x) == 2 and x[0] == "unless"), None)

    def within(self, c: list[Any]) -> tuple[str, float]:
        return "within", amount(c[0])

    def _within(self, rest: list[Any]) -> tuple[float | None, list[Any]]:
        """The seconds of "within T" at the head of `rest`, and what follows."""
        if rest and isinstance(rest[0], tuple) and rest[0][0] == "within":
            return rest[0][1], rest[1:]
        return None, rest

    def p_when(self, c: list[Any]) -> Sentence:
        states = self._states(c[0], verb_state(str(c[1])))
        seconds, rest = self._within(c[2:])
        return self._sentence("when", states=states, condition=rest[0], unless=self._unless(rest[1:]), seconds=seconds)

    def p_once(self, c: list[Any]) -> Sentence:
        states = self._states(c[0], verb_state(str(c[1])))
        return self._sentence("at least once when", states=states, condition=c[3], unless=self._unless(c[4:]))

    def p_while(self, c: list[Any]) -> Sentence:
        states, rest = self._stated(c)
        return self._sentence("when", states=states, condition=rest[0], unless=self._unless(rest[1:]))

    def p_only_while(self, c: list[Any]) -> Sentence:
        states, rest = self._stated(c)
        return self._sentence("only while", states=states, condition=rest[0])

    def p_exactly(self, c: list[Any]) -> Sentence:
        states, rest = self._stated(c)
        return self._sentence("exactly while", states=states, condition=rest[0])

    def p_stops(self, c: list[Any]) -> Sentence:
        pressed: list[Condition] = [Is(str(s), "pressed") for s in c[0]]
        condition = pressed[0] if len(pressed) == 1 else AnyOf(tuple(pressed))
        if isinstance(c[2], Token):
            return self._sentence("when", subject="everything", condition=condition)
        return self._sentence("when", states=self._states(c[2], "stopped"), condition=condition)

    def p_after(self, c: list[Any]) -> Sentence:
        states = self._states(c[0], verb_state(str(c[1])))
        seconds, rest = self._within(c[2:])
        return self._sentence("after", states=states, event=rest[0], unless=self._unless(rest[1:]), seconds=seconds)

    def p_stays_after(self, c: list[Any]) -> Sentence:
        state, value = c[2]
        facts: dict[str, Any] = {"event": c[3], "unless": self._unless(c[4:])}
        if isinstance(c[0], Token):
            return self._sentence("stays after", subject="everything", **facts)
        return self._sentence("stays after", states=self._states(c[0], state, value), **facts)

    def p_stays_until(self, c: list[Any]) -> Sentence:
        return self._sentence("stays until", states=self._states(c[0], *c[2]), until=c[3])

    def p_stays_for(self, c: list[Any]) -> Sentence:
        return self._sentence(_bound(str(c[3])), states=self._states(c[0], *c[2]), seconds=amount(c[4]))

    def p_only_after(self, c: list[Any]) -> Sentence:
        seconds = next((amount(x) for x in c[3:] if isinstance(x, Token) and x.type == "QUANTITY"), None)
        states = self._states(c[0], verb_state(str(c[1])))
        return self._sentence("only after", states=states, condition=c[2], seconds=seconds)

    def p_never_together(self, c: list[Any]) -> Sentence:
        return self._sentence("never together", states=self._states(c[0], *c[1]))

    def p_at_most_one(self, c: list[Any]) -> Sentence:
        return self._sentence("never together", states=self._states(c[1], *c[2]))

    def p_never(self, c: list[Any]) -> Sentence:
        return self._sentence("never", condition=c[0])

    def p_always(self, c: list[Any]) -> Sentence:
        return self._sentence("always", condition=c[0])

    def p_while_always(self, c: list[Any]) -> Sentence:
        return self._sentence("while always", condition=c[0], until=c[1])

    def p_after_until(self, c: list[Any]) -> Sentence:
        return self._sentence("after until", event=c[0], condition=c[1], until=c[2])

    def p_in_order(self, c: list[Any]) -> Sentence:
        return self._sentence("in order", states=self._states(c[0], verb_state(str(c[1]))))

    def p_turns(self, c: list[Any]) -> Sentence:
        condition = next((x for x in c[1:] if not isinstance(x, Token)), None)
        return self._sentence("take turns", states=self._states(c[0], "in"), condition=condition)

    def p_nothing(self, c: list[Any]) -> Sentence:
        return self._sentence("nothing starts", subject="nothing", event=c[1])

    def p_again(self, c: list[Any]) -> Sentence:
        return self._sentence("again when power returns", states=self._states(c[0], verb_state(str(c[1]))))

    def p_rests(self, c: list[Any]) -> Sentence:
        return self._sentence("everything rests after", subject="everything", event=c[-1])

    def p_waive(self, c: list[Any]) -> Sentence:
        what = " ".join(str(c[0]).split())
        return self._sentence("waive", waives=f"no {what}", states=self._states(c[1] if len(c) > 1 else (), "waived"))

    # ---- assumptions
    def a_before(self, c: list[Any]) -> Sentence:
        states = (Is(str(c[0][0]), "made"), Is(str(c[2]), "made"))
        return self._sentence("makes before", states=states, subject="and clears after" if len(c) > 3 else "")

    def a_makes_only(self, c: list[Any]) -> Sentence:
        return self._sentence("makes only while", states=self._states(c[0], verb_state(str(c[1]))), condition=c[2])

    def a_within(self, c: list[Any]) -> Sentence:
        states = self._states(c[0], verb_state(str(c[1])))
        seconds, rest = self._within(c[2:])
        return self._sentence("within after", states=states, seconds=seconds, event=rest[0])

    def a_let_go(self, c: list[Any]) -> Sentence:
        return self._sentence("always let go", states=self._states(c[0], "released"))

    def a_stays(self, c: list[Any]) -> Sentence:
        states = self._states(c[0], *c[2])
        power = len(states) == 1 and states[0].subject == "power"
        form = "power stays on" if power else "stays at" if states[0].state == "at" else "stays on"
        return self._sentence(form, states=states)

    def a_dips(self, c: list[Any]) -> Sentence:
        return self._sentence("power dips at most", seconds=amount(c[-1]))

    def a_one_at_a_time(self, _: list[Any]) -> Sentence:
        return self._sentence("inputs one at a time")

    def a_at_rest(self, _: list[Any]) -> Sentence:
        return self._sentence("inputs only at rest")

    # ---- around a sentence
    def with_fault(self, c: list[Fault]) -> tuple[str, tuple[Fault, ...]]:
        return "faults", tuple(c)

    def not_kept(self, _: list[Any]) -> tuple[str, bool]:
        return "not_kept", True

    def one_fault(self, _: list[Any]) -> tuple[str, bool]:
        return "one_fault", True

    def promise(self, c: list[Any]) -> Sentence:
        facts: dict[str, Any] = {}
        body: Sentence | None = None
        for child in c:
            if isinstance(child, Sentence):
                body = child
            elif isinstance(child, Token):
                facts["why"] = unquoted(child)
            else:
                facts[child[0]] = child[1]
        assert body is not None  # the grammar has exactly one
        words = " ".join(re.sub(r'"(?:[^"]|"")*"\s*$', "", self.text).split())
        return replace(body, text=words, **facts)

    assumption = promise


def build(tree: Tree[Token], line: int, text: str) -> Any:
    """The value of a parsed statement that starts on `line` of the file."""
    return SentenceBuilder(line, text).transform(tree)
