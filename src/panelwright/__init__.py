"""Panelwright: relay control circuits, written down once and worked out from there.

import panelwright as pw

pump = pw.read_file("well-pump.panel").circuit
pw.try_trials(pump)
pw.wire(pump)
"""

from .api import (
    changes,
    check,
    draw,
    explain,
    fault_effects,
    fault_list,
    find,
    judge_results,
    keep_results,
    kept_results,
    open_bench,
    pdf,
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
    "draw",
    "explain",
    "fault_effects",
    "fault_list",
    "find",
    "judge_results",
    "keep_results",
    "kept_results",
    "open_bench",
    "pdf",
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
