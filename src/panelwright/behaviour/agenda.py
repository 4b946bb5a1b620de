"""What is due when: the calendar of a run."""

from __future__ import annotations

import heapq
from collections.abc import Iterator

Entry = tuple[float, int, str, str]  # due, order of entering, tag, key


class Agenda:
    """Things due, at most one for each (tag, key); things due together come in the order in which they were entered."""

    def __init__(self) -> None:
        self._heap: list[Entry] = []
        self._live: dict[tuple[str, str], Entry] = {}
        self._count = 0

    def enter(self, due: float, tag: str, key: str) -> None:
        """Let `key` of `tag` happen at `due` (seconds); an earlier entry of the same is replaced."""
        self._count += 1
        entry = (due, self._count, tag, key)
        self._live[tag, key] = entry
        heapq.heappush(self._heap, entry)

    def strike(self, tag: str, key: str) -> None:
        """Take an entry out, if there is one."""
        self._live.pop((tag, key), None)

    def due(self, tag: str, key: str) -> float | None:
        """When it is due, or None."""
        entry = self._live.get((tag, key))
        return None if entry is None else entry[0]

    def next_due(self) -> float | None:
        """The time of the next thing due."""
        while self._heap and self._live.get(self._heap[0][2:]) is not self._heap[0]:
            heapq.heappop(self._heap)
        return self._heap[0][0] if self._heap else None

    def take(self) -> tuple[float, str, str]:
        """Take out the next thing due. Raises IndexError when nothing is."""
        self.next_due()
        due, _, tag, key = heapq.heappop(self._heap)
        del self._live[tag, key]
        return due, tag, key

    def entries(self) -> Iterator[tuple[float, str, str]]:
        """(due, tag, key) of everything, in no order."""
        for due, _, tag, key in self._live.values():
            yield due, tag, key

    def copy(self) -> Agenda:
        """An agenda of its own with the same entries."""
        twin = Agenda()
        twin._heap, twin._live, twin._count = self._heap.copy(), self._live.copy(), self._count
        return twin
