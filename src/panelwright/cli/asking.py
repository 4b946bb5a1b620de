"""The search for a fault as a dialogue: asks what a good troubleshooter asks first, then reads along."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TextIO

import click

from ..finding import Search, Unclear, UnknownMeter, meters
from ..finding.evidence import AS_DRAWN, NOT_AS_DRAWN, UNITS
from ..finding.naming import states_of
from ..finding.proposing import Proposal
from ..finding.steps import told_test
from ..finding.symptoms import told
from ..finding.telling_search import CAUTIONS, branch_lines, ranking_lines, verdict_lines

HELP = (
    "Type a symptom (K1 does not start), a reading (K1.13 to G1.-: 0 V @ S2 held),\n"
    "what changed (changed: it was wet), or the answer to what was asked.\n"
    "  skip  another test    why  all causes    back  take the last piece back    end  stop"
)


class Dialogue:
    """Goes on until one cause is left or the user ends it. `keep` is called with the search after every piece."""

    def __init__(self, search: Search, source: TextIO, keep: Callable[[Search], object] | None = None) -> None:
        self.search = search
        self.source = source
        self.keep = keep
        self.skipped = 0
        self.sometimes = False

    def run(self) -> Search:
        """Ask and answer."""
        for caution in CAUTIONS:
            click.echo(caution)
        if not self.search.evidence:
            self._first_questions()
        click.echo(HELP)
        while True:
            if self.search.evidence and self.search.is_settled:
                self._show_end()
                return self.search
            asked = self._propose()
            line = self._ask("> ")
            if line is None or line in ("end", "quit", "exit", "q"):
                return self.search
            before = self.search
            self._take(line, asked)
            if self.keep is not None and self.search is not before:
                self.keep(self.search)

    def _ask(self, prompt: str) -> str | None:
        click.echo(prompt, nl=False)
        line = self.source.readline()
        if not line:
            click.echo()
            return None
        if not self.source.isatty():
            click.echo(line.rstrip("\n"))
        return line.strip()

    def _first_questions(self) -> None:
        """What those who find faults for a living ask before they open the door."""
        self.search = self.search.but(new=self._says("Did it ever work as drawn? [yes/no] ", "n") or None)
        if not self.search.new:
            self._ask_changes()
        self.sometimes = self._says("Does it fail every time, or only sometimes? [every time/sometimes] ", "s", "only")
        if self._says("May you read with the power on: trained, authorised, equipped? [yes/no] ", "n"):
            self.search = self.search.but(live=False)
        answer = self._ask(f"Which meter? [{', '.join(meters())}; Enter for {self.search.meter.name}] ")
        if answer:
            try:
                self.search = self.search.with_meter(answer)
            except UnknownMeter as reason:
                click.echo(f"{reason}. Taken as {self.search.meter.name}.")
        click.echo("What is wrong?")

    def _says(self, question: str, *beginnings: str) -> bool:
        return (self._ask(question) or "").lower().startswith(beginnings)

    def _ask_changes(self) -> None:
        answer = self._ask("What changed since it last worked? [K1 was replaced, it was wet ...; Enter for nothing] ")
        while answer:
            try:
                self.search = self.search.changed(answer)
                return
            except Unclear as reason:
                answer = self._ask(f"{reason}.\nWhat changed? [Enter for nothing] ")

    def _propose(self) -> Proposal | None:
        if not self.search.evidence:
            return None
        click.echo()
        for line in ranking_lines(self.search):
            click.echo(line)
        proposals = self.search.proposals
        if not proposals:
            click.echo("No further reading tells them apart. Add what else you see, or end.")
            return None
        best = proposals[min(self.skipped, len(proposals) - 1)]
        click.echo(f"\n{told_test(self.search.wiring, best.test)}")
        for line in branch_lines(best):
            click.echo(line)
        return best

    def _take(self, line: str, asked: Proposal | None) -> None:
        if line == "":
            return
        if line in ("help", "?"):
            click.echo(HELP)
        elif line == "skip":
            self.skipped += 1
        elif line == "back":
            self.search = self.search.without(len(self.search.evidence) - 1)
        elif line.startswith("changed:"):
            self._change(line.partition(":")[2])
        elif line == "why":
            for group in self.search.groups:
                for one in group.members:
                    click.echo(f"  {one.probability:5.1%}  {one.cause.words}")
        elif asked is not None and self._answer(line, asked):
            self.skipped = 0
        else:
            self._new_piece(line)

    def _change(self, words: str) -> None:
        try:
            self.search = self.search.changed(words.strip())
        except Unclear as reason:
            click.echo(str(reason))

    def _answer(self, line: str, asked: Proposal) -> bool:
        """An answer to what was asked: a word that was named, or a value."""
        named = {branch.outcome.lower(): branch.outcome for branch in asked.branches}
        if not asked.test.unit:
            on, off = states_of(self.search.wiring.circuit.by_tag[asked.test.a])
            if asked.test.kind == "leads":
                on, off = AS_DRAWN, NOT_AS_DRAWN
            word = {**dict.fromkeys(ON_WORDS, on), **dict.fromkeys(OFF_WORDS, off), **named}.get(line.lower())
            if word is not None:
                self.search = self.search.answered(asked.test, word)
            return word is not None
        value = value_typed(line, asked.test.unit)
        if value is NOT_A_VALUE:
            return False
        self.search = self.search.answered(asked.test, line, value)  # type: ignore[arg-type]
        return True

    def _new_piece(self, line: str) -> None:
        trouble = ""
        for take in (self.search.read, self._see) if ":" in line else (self._see, self.search.read):
            try:
                found = take(line)
            except Unclear as reason:
                trouble = trouble or str(reason)  # the first way is the likelier one to be meant
                continue
            for piece in found.evidence[len(self.search.evidence) :]:
                click.echo(f"Understood: {told(piece)}")
            self.search = found
            self.skipped = 0
            return
        click.echo(trouble)

    def _see(self, words: str) -> Search:
        return self.search.see(f"sometimes {words}" if self.sometimes else words)

    def _show_end(self) -> None:
        click.echo()
        for line in (*ranking_lines(self.search), "", *verdict_lines(self.search)):
            click.echo(line)


NOT_A_VALUE = object()
ON_WORDS = ("on", "in", "yes", "lit", "running", "up", "energised", "energized")
OFF_WORDS = ("off", "out", "no", "dark", "stopped", "down", "dead", "de-energised", "de-energized")


def value_typed(line: str, unit: str) -> float | object | None:
    """ "24", "24 V", "0.4 kohm", "open"; None for open, NOT_A_VALUE for anything else."""
    word = line.lower().strip()
    if word in ("open", "ol", "o.l", "o.l.", "silent", "infinite"):
        return None
    if word in ("beeps", "beep"):
        return 0.0
    match = re.fullmatch(r"(?:some |about )?(-?\d+(?:\.\d+)?)\s*([a-zω]*)(?: ac| dc)?", word)
    if match is None or (match[2] and match[2] not in UNITS):
        return NOT_A_VALUE
    name, factor = UNITS.get(match[2], (unit, 1.0))
    return float(match[1]) * factor if name == unit else NOT_A_VALUE
