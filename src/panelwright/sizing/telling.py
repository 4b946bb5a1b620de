"""The sizing sheet as text and as values for other programs."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from .answers import Answer, Fitted, Missing, SizingSheet, Working

WIDTH = 110
QUESTION, RULE = 26, 66  # columns: where a choice begins, where a rule begins
WORTH = 2  # lines that pointing to an answer above has to save
FITS = {True: "will do", False: "FALLS SHORT", None: "cannot be told"}
MARKS = {"from memory": " [from memory]", "seen in part": " [seen in part]"}


def told(sheet: SizingSheet, *, brief: bool = False) -> str:
    """The whole sheet for a terminal; `brief`: the choices and how they fit, without the steps."""
    lines = [sheet.title, f"Sized under {sheet.rules}", ""]
    if sheet.taken:
        lines += _wrapped("Taken for granted, as the file does not say it: ", f"{'; '.join(sheet.taken)}.")
    alike = like_before(sheet)
    at = 0
    for part in sheet.parts:
        lines += ["", part.heading, "-" * min(len(part.heading), WIDTH)]
        for answer in part.answers:
            lines += _briefly(answer) if brief else _answer(answer, alike[at])
            at += 1
    lines += [*_shortfalls(sheet), *_missing(sheet), ""]
    for caution in sheet.cautions:
        lines += _wrapped("", caution)
    return "\n".join(lines)


def _head(answer: Answer) -> str:
    choice = answer.choice or ("waits for what is missing" if answer.missing else "no answer")
    return f"{f'{answer.about} {answer.question}':{QUESTION}}  {choice}"


def _briefly(answer: Answer) -> list[str]:
    """The choice, and what the file has there; a line where it fits into one."""
    fitted = answer.fitted
    there = f"  ({fitted.text}: {FITS[fitted.fits]})" if fitted else ""
    line = f"{_head(answer)}{there}{MARKS['from memory'] if answer.remembered else ''}"
    indent = " " * (QUESTION + 2)
    return textwrap.wrap(line, WIDTH, subsequent_indent=indent, break_on_hyphens=False)


@dataclass(frozen=True, slots=True)
class Like:
    """What a reader has seen above: the answer that it is like, the steps that are its own, and whether notes are."""

    about: str
    own_steps: int
    own_notes: bool

    @property
    def words(self) -> str:
        """What stands in the place of the rest."""
        return f"{'then ' if self.own_steps else ''}as for {self.about}"


def like_before(sheet: SizingSheet) -> tuple[Like | None, ...]:
    """For every answer the one before it to the same question that has the same last steps; None for none.

    A step or a note that stands alone is printed again: it is as short as the words that would point to it.
    """
    seen: dict[str, list[Answer]] = {}
    found: list[Like | None] = []
    for answer in sheet.answers:
        before = seen.setdefault(answer.question, [])
        found.append(next(filter(None, (_like(answer, one) for one in before)), None))
        if found[-1] is None:
            before.append(answer)
    return tuple(found)


def _like(answer: Answer, before: Answer) -> Like | None:
    shared = 0
    for one, other in zip(reversed(answer.workings), reversed(before.workings), strict=False):
        if one != other:
            break
        shared += 1
    same_notes = (answer.also, answer.warnings) == (before.also, before.warnings)
    saved = shared + same_notes * (len(answer.also) + len(answer.warnings))
    if not shared or saved < WORTH:
        return None
    return Like(before.about, len(answer.workings) - shared, not same_notes)


def _answer(answer: Answer, like: Like | None) -> Iterator[str]:
    yield from textwrap.wrap(_head(answer), WIDTH, subsequent_indent=" " * (QUESTION + 2), break_on_hyphens=False)
    for working in answer.workings[: like.own_steps if like else None]:
        yield from _working(working)
    if like is not None:
        yield f"    {like.words}"
    if answer.fitted is not None:
        yield from _wrapped("    in the file: ", fitted_words(answer.fitted))
    if like is None or like.own_notes:
        for one in answer.also:
            yield from _wrapped("    also: ", f"{one.choice}: {one.why}")
        for warning in answer.warnings:
            yield from _wrapped("    mind: ", warning)
    for missing in answer.missing:
        yield from _wrapped("    missing: ", missing.what)


def _working(working: Working) -> Iterator[str]:
    rule = f"{working.rule or working.source}{MARKS.get(working.trust, '')}"
    text = textwrap.wrap(working.text, RULE - 5, break_on_hyphens=False) or [""]
    yield f"    {text[0]:{RULE - 4}}{rule}".rstrip()
    for line in text[1:]:
        yield f"      {line}"


def fitted_words(fitted: Fitted) -> str:
    """ "2FU fuse 15 A: will do, not above 25 A"."""
    return f"{fitted.text}: {FITS[fitted.fits]}{f', {fitted.why}' if fitted.why else ''}"


def _shortfalls(sheet: SizingSheet) -> Iterator[str]:
    if not sheet.shortfalls:
        return
    yield from ("", "FALLS SHORT")
    for answer in sheet.shortfalls:
        assert answer.fitted is not None
        yield from _wrapped("  ", f"{answer.about} {answer.question}: {answer.fitted.text}, {answer.fitted.why}")


def _missing(sheet: SizingSheet) -> Iterator[str]:
    if not sheet.missing:
        return
    yield from ("", "MISSING IN THE FILE")
    for why, some in groupby(sorted(sheet.missing, key=lambda one: _place(sheet, one)), key=lambda one: one.why):
        asked = list(some)
        yield from _wrapped("  ", f"{', '.join(dict.fromkeys(one.what for one in asked))}: {why}.")
        yield from (f"      write  {one.mend}" for one in asked)


def _place(sheet: SizingSheet, missing: Missing) -> int:
    """Where the reason of a missing fact is met first, so that facts with one reason stand together."""
    return [one.why for one in sheet.missing].index(missing.why)


def counted(sheet: SizingSheet, name: str) -> str:
    """One line: how much was answered, falls short, is missing."""
    answered, short, missing = sum(a.answered for a in sheet.answers), len(sheet.shortfalls), len(sheet.missing)
    return (
        f"{answered} of {len(sheet.answers)} questions answered for {name}; {short} fall{'s' * (short == 1)} short; "
        f"{missing} fact{'s are' if missing != 1 else ' is'} missing."
    )


def _wrapped(head: str, text: str) -> list[str]:
    indent = " " * min(len(head), 8)
    return textwrap.wrap(text, WIDTH, initial_indent=head, subsequent_indent=indent, break_on_hyphens=False)


# ---- values
def as_json(sheet: SizingSheet) -> dict[str, Any]:
    """The sheet for other programs."""
    return {
        "title": sheet.title,
        "rules": sheet.rules,
        "taken": list(sheet.taken),
        "parts": [{"heading": p.heading, "answers": [_values(a) for a in p.answers]} for p in sheet.parts],
        "missing": [_missing_values(missing) for missing in sheet.missing],
        "cautions": list(sheet.cautions),
    }


def _values(answer: Answer) -> dict[str, Any]:
    values: dict[str, Any] = {
        "about": answer.about,
        "question": answer.question,
        "choice": answer.choice,
        "value": answer.value,
        "unit": answer.unit,
        "workings": [{"text": w.text, "rule": w.rule, "source": w.source, "trust": w.trust} for w in answer.workings],
        "also": [{"choice": one.choice, "why": one.why, "value": one.value} for one in answer.also],
        "warnings": list(answer.warnings),
        "missing": [_missing_values(missing) for missing in answer.missing],
    }
    if answer.fitted is not None:
        values["in_file"] = {"text": answer.fitted.text, "fits": answer.fitted.fits, "why": answer.fitted.why}
    return values


def _missing_values(missing: Missing) -> dict[str, str]:
    return {"what": missing.what, "why": missing.why, "mend": missing.mend}
