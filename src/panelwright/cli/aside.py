"""Work done aside, so that Ctrl+C is heard at once and not by a library in the middle of its work."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from queue import Queue
from typing import TypeVar

from .answering import say

Item = TypeVar("Item")
_END = object()


def aside(start: Callable[[Callable[[str], None]], Iterator[Item]]) -> Iterator[Item]:
    """What an iterator gives, worked out in a thread of its own.

    `start`: makes the iterator; it is handed something to say what is being done with. Raises: what the work raises,
    and KeyboardInterrupt, after which the work is left to itself and ends with the program.
    """
    found: Queue[object] = Queue()
    words: list[str] = [""]

    def work() -> None:
        try:
            for item in start(lambda said: words.__setitem__(0, said)):
                found.put(item)
            found.put(_END)
        except BaseException as raised:  # whatever it is, it is told where somebody waits for it
            found.put(_Raised(raised))

    threading.Thread(target=work, daemon=True).start()
    while (item := _next(found, words)) is not _END:
        if isinstance(item, _Raised):
            raise item.what
        yield item  # type: ignore[misc]


class _Raised:
    def __init__(self, what: BaseException) -> None:
        self.what = what


def _next(found: Queue[object], words: list[str]) -> object:
    """The next thing, saying meanwhile what is being done."""
    from queue import Empty

    while True:
        say(words[0])
        try:
            return found.get(timeout=0.2)
        except Empty:
            continue
