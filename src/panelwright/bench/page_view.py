"""What one page has been shown, and what is new to it."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from .protocol import Shown

if TYPE_CHECKING:
    from .session import Session

MOST_CHANGED = 0.5  # of the pieces; beyond it a drawing is sent whole


class Page:
    """One open page. `held`: what it presses just now; `changed` is set when it should be told something."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.changed = asyncio.Event()
        self.shown: Shown | None = None
        self.held: set[str] = set()
        self.echo = 0
        self._seen: dict[str, Any] = {}
        self._panel: dict[str, Any] = {}
        self._lists: dict[str, tuple[list[Any] | None, int, Any]] = {}
        self._live: Mapping[str, Any] = {}
        self._drawn: dict[Shown, tuple[str, tuple[str, ...]]] = {}
        self._told: list[tuple[str, str]] = []
        self._text_edition = -1

    def tell(self, kind: str, words: str) -> None:
        """Say something to this page alone. `kind`: "told", "refused" or "clash"."""
        self._told.append((kind, words))
        self.changed.set()

    def has_text(self, edition: int) -> None:
        """The page itself holds this edition of the text."""
        self._text_edition = edition

    def news(self) -> dict[str, Any]:
        """Everything that this page does not know yet; see `protocol`. Remembers it as known.

        What can be seen at the panel goes first and alone, because somebody waits for it with a finger on a button;
        the rest follows with the next call.
        """
        session = self.session
        answer: dict[str, Any] = {}
        if self._seen:
            self._put_live(answer)
            if answer:
                self.changed.set()
                return self._with_echo(answer)
        else:
            answer["whole"] = True
            self._put_live(answer)
        for key, fact in session.facts().items():
            if self._seen.get(key, _NOTHING) != fact:
                answer[key] = fact
                self._seen[key] = fact
        panel = {key: fact for key, fact in session.panel.items() if self._panel.get(key, _NOTHING) != fact}
        if panel:
            answer["panel"] = panel
            self._panel.update(panel)
        self._put_text(answer)
        self._put_list(answer, "story", "lines", session.story)
        self._put_list(answer, "moves", "moves", session.moves)
        self._put_drawings(answer)
        if self._told:
            answer["told"] = self._told.pop(0)
            if self._told:
                self.changed.set()
        return self._with_echo(answer)

    def _with_echo(self, answer: dict[str, Any]) -> dict[str, Any]:
        if answer and self.echo:
            answer["echo"] = self.echo
        return answer

    def _put_text(self, answer: dict[str, Any]) -> None:
        session = self.session
        if session.edition != self._text_edition:
            self._text_edition = session.edition
            answer["text"] = {"text": session.text, "edition": session.edition}

    def _put_list(self, answer: dict[str, Any], key: str, name: str, all_: list[Any]) -> None:
        """Lists grow, their last entry may change, or they start anew (then they are another list)."""
        seen, count, last = self._lists.get(key, (None, 0, None))
        if seen is not all_ or count > len(all_):
            count = 0
        elif count and all_[count - 1] != last:
            count -= 1
        if count < len(all_) or seen is not all_:
            answer[key] = {"from": count, name: all_[count:]}
            self._lists[key] = (all_, len(all_), all_[-1] if all_ else None)

    def _put_live(self, answer: dict[str, Any]) -> None:
        live = self.session.live
        if live is self._live:
            return
        changes: dict[str, Any] = {key: value for key, value in live.items() if self._live.get(key) != value}
        changes.update(dict.fromkeys(key for key in self._live if key not in live))
        self._live = live
        if changes:
            answer["live"] = changes

    def _put_drawings(self, answer: dict[str, Any]) -> None:
        if self.shown is None:
            return
        drawn = self.session.drawn(self.shown)
        before = self._drawn.get(self.shown)
        if drawn is not None and before is not drawn:
            answer["drawings"] = {self.shown.key: difference(before, drawn)}
            self._drawn[self.shown] = drawn


_NOTHING = object()


def difference(old: tuple[str, tuple[str, ...]] | None, new: tuple[str, tuple[str, ...]]) -> dict[str, Any]:
    """How to make the new drawing from the old one: whole, or the pieces between those that stay.

    A drawing is its opening tag and its pieces, each one element of SVG.
    """
    head, pieces = new
    if old is not None:
        before = old[1]
        same = _same_at_start(before, pieces)
        tail = _same_at_start(before[same:][::-1], pieces[same:][::-1])
        put = pieces[same : len(pieces) - tail]
        if len(put) <= MOST_CHANGED * max(1, len(pieces)):
            return {"head": head, "from": same, "drop": len(before) - same - tail, "put": put}
    return {"svg": head + "".join(pieces) + "</svg>"}


def _same_at_start(one: tuple[str, ...], other: tuple[str, ...]) -> int:
    count = 0
    for a, b in zip(one, other, strict=False):
        if a != b:
            break
        count += 1
    return count
