"""Panelwright: relay control circuits, written down once and worked out from there.

import panelwright as pw

pump = pw.read_file("well-pump.panel").circuit
pw.try_trials(pump)
pw.wire(pump)
"""

from types import ModuleType

from .api import (
    changes,
    check,
    choose_parts,
    draw,
    explain,
    fault_effects,
    fault_list,
    find,
    find_tree,
    find_tree_pages,
    judge_results,
    keep_results,
    kept_results,
    open_bench,
    parts,
    parts_pages,
    pdf,
    practice_pages,
    practice_tasks,
    prove,
    read,
    read_file,
    read_steps,
    readings,
    ready_circuits,
    sheet_pack,
    size,
    size_pages,
    story_of,
    test_sheet,
    test_sheet_pages,
    tidy,
    try_trials,
    wire,
    work,
)

__all__ = [
    "changes",
    "check",
    "choose_parts",
    "draw",
    "explain",
    "fault_effects",
    "fault_list",
    "find",
    "find_tree",
    "find_tree_pages",
    "judge_results",
    "keep_results",
    "kept_results",
    "open_bench",
    "parts",
    "parts_pages",
    "pdf",
    "practice_pages",
    "practice_tasks",
    "prove",
    "read",
    "read_file",
    "read_steps",
    "readings",
    "ready_circuits",
    "sheet_pack",
    "size",
    "size_pages",
    "story_of",
    "test_sheet",
    "test_sheet_pages",
    "tidy",
    "try_trials",
    "wire",
    "work",
]


def __getattr__(name: str) -> ModuleType:
    """`panelwright.sizing`, the single questions, without an import of its own."""
    if name != "sizing":
        raise AttributeError(f"module {__name__} has no attribute {name}")
    from importlib import import_module

    return import_module(".sizing", __name__)
