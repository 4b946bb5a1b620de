"""What a rule is: one mistake on the drawing board, in a file and on a page of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from ..circuit import Problem
from .board import Board


@dataclass(frozen=True, slots=True)
class Rule:
    """`code` never changes and is never used again; `name` is the mistake, and the name of its page."""

    code: str
    name: str
    find: Callable[[Board], Iterator[Problem]]
