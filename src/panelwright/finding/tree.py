"""The search told in advance: every test that may come, by what the one before it showed, for paper."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import count
from typing import Any

from .proposing import Branch, Proposal, groups_of, propose
from .ranking import Group, Ranked, Ranking
from .search import Search
from .steps import Test, told_test

USUAL_DEPTH, MOST_DEPTH = 4, 8
LITTLE = 0.005  # an outcome less likely than this is told with its causes, not followed further
MOST_TOLD = 3  # causes of one group that are told


@dataclass(frozen=True, slots=True)
class Node:
    """One point of the tree. `outcome`: what leads here, "" at the root; `probability` of coming here at all.

    `test` is done here and `nodes` follow from it; without one, `groups` is what is left. `number` counts the tests.
    """

    outcome: str
    probability: float
    groups: tuple[Group, ...]
    test: Test | None = None
    nodes: tuple[Node, ...] = ()
    number: int = 0

    @property
    def is_end(self) -> bool:
        """Whether nothing more is asked here."""
        return self.test is None

    def walk(self) -> Iterator[Node]:
        """This node and all below, in order."""
        yield self
        for node in self.nodes:
            yield from node.walk()


@dataclass(frozen=True, slots=True)
class Tree:
    """The whole tree. `depth`: tests that are asked one after the other at most."""

    search: Search
    root: Node
    depth: int

    @property
    def tests(self) -> float:
        """How many tests it takes on average to get to an end."""
        return _average(self.root)

    @property
    def open_ends(self) -> int:
        """Ends at which more than one group is left, as the tree is no deeper."""
        return sum(node.is_end and len(node.groups) > 1 for node in self.root.walk())


def _average(node: Node) -> float:
    share = sum(inner.probability for inner in node.nodes) or 1.0
    return 0.0 if node.is_end else 1.0 + sum(_average(inner) * inner.probability for inner in node.nodes) / share


def tree_of(search: Search, depth: int = USUAL_DEPTH) -> Tree:
    """The tree that follows from what is known. Raises: ValueError when nothing is, or for a depth out of range."""
    if not search.evidence:
        raise ValueError("nothing is known yet: say what is seen first")
    if not 1 <= depth <= MOST_DEPTH:
        raise ValueError(f"a tree is 1 to {MOST_DEPTH} tests deep, not {depth}")
    root = _grow(search, search.ranking.best, Node("", 1.0, ()), depth, search.is_dead)
    return Tree(search, _numbered(root, count(1)), depth)


def _grow(search: Search, ranked: tuple[Ranked, ...], node: Node, depth: int, dead: bool) -> Node:
    """A node with all that follows. `search`: with the leads that were looked at on the way here, as what shows there
    is seen at once. `dead`: whether the power is off when one comes here.
    """
    total = sum(one.probability for one in ranked) or 1.0
    ranking = Ranking(tuple(replace(one, probability=one.probability / total) for one in ranked), (), False)
    groups = groups_of(search.book, ranking, search.evidence, search.meter, search.live)
    proposals: tuple[Proposal, ...] = ()
    if depth and len(groups) > 1 and node.probability >= LITTLE:
        proposals = propose(search.book, ranking, search.evidence, search.meter, search.live, dead)
    if not proposals:
        return replace(node, groups=groups)
    best = proposals[0]
    nodes = [_after(search, best.test, branch, node.probability, depth - 1) for branch in best.branches]
    told = {one.cause.id for branch in best.branches for one in branch.causes}
    rest = tuple(one for one in ranking.explaining if one.cause.id not in told)
    if rest:  # too unlikely to be played for this test
        nodes.append(Node("anything else", 0.0, (Group(rest),)))
    return replace(node, groups=groups, test=best.test, nodes=tuple(nodes))


def _after(search: Search, test: Test, branch: Branch, probability: float, depth: int) -> Node:
    if test.kind == "leads":
        search = search.answered(test, branch.outcome)
    node = Node(branch.outcome, probability * branch.probability, ())
    return _grow(search, branch.causes, node, depth, test.situation.is_dead)


def _numbered(node: Node, numbers: Iterator[int]) -> Node:
    if node.is_end:
        return node
    number = next(numbers)
    return replace(node, number=number, nodes=tuple(_numbered(inner, numbers) for inner in node.nodes))


def tree_text(tree: Tree) -> str:
    """The tree as indented text."""
    return "\n".join(_lines(tree))


def _lines(tree: Tree) -> Iterator[str]:
    yield f"What to do, step by step ({tree.tests:.1f} tests on average):"
    yield from _node_lines(tree, tree.root, "")


def _node_lines(tree: Tree, node: Node, indent: str) -> Iterator[str]:
    if node.test is None:
        yield from (f"{indent}{line}" for line in end_words(node))
        return
    yield f"{indent}{node.number}. {told_test(tree.search.wiring, node.test)}"
    for inner in node.nodes:
        yield f"{indent}   {inner.outcome} ({inner.probability:.0%}):"
        yield from _node_lines(tree, inner, f"{indent}      ")


def end_words(node: Node) -> Iterator[str]:
    """What is said at an end: the cause and its mend, or what is left."""
    if len(node.groups) == 1:
        members = node.groups[0].members
        words = " or ".join(one.cause.words for one in members[:MOST_TOLD])
        yield f"{words}{f' or {len(members) - MOST_TOLD} more' if len(members) > MOST_TOLD else ''}."
        yield f"Mend: {members[0].cause.mend}."
        return
    yield f"Left, {len(node.groups)} to tell apart: {'; '.join(group.best.words for group in node.groups[:MOST_TOLD])}."


def tree_values(tree: Tree) -> dict[str, Any]:
    """For other programs: the root, each node with its nodes."""
    return {
        "depth": tree.depth,
        "tests_on_average": round(tree.tests, 3),
        "open_ends": tree.open_ends,
        "root": _values(tree, tree.root),
    }


def _values(tree: Tree, node: Node) -> dict[str, Any]:
    found: dict[str, Any] = {"outcome": node.outcome, "probability": round(node.probability, 6)}
    if node.test is None:
        groups = [[one.cause.id for one in group.members] for group in node.groups]
        return found | {"left": groups, "mend": node.groups[0].best.mend if len(groups) == 1 else ""}
    test = node.test
    return found | {
        "number": node.number, "do": told_test(tree.search.wiring, test), "kind": test.kind, "from": test.a,
        "to": test.b, "situation": test.situation.name, "hazard": test.hazard,
        "then": [_values(tree, inner) for inner in node.nodes],
    }  # fmt: skip
