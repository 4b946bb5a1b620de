"""The page of fault kinds, generated from their table."""

from __future__ import annotations

from panelwright.faults import kinds, not_listed, standard

GROUPS = {"breaks": "What breaks", "wired wrong": "What is wired wrong", "in between": "What lies in between"}


def fault_list_page() -> str:
    """The text of docs/look-up/fault-list.md."""
    source, trust = standard()
    lines = [
        "# The fault list",
        "",
        "Every kind of single fault that `panelwright faults` lists, how a panel file says it, and the fault of",
        f"{source} that it stands for ({trust}); none: it is not in the standard's list.",
        "Faults that the standard lets a designer leave out are listed all the same; the last column says when it would.",
        "Figures that a fault is put in with stand below each table.",
    ]
    for group, title in GROUPS.items():
        rows = [kind for kind in kinds().values() if kind.group == group]
        lines += ["", f"## {title}", "", "| fault | in a panel file | annex D | may be left out there when |"]
        lines += ["| --- | --- | --- | --- |"]
        lines += [f"| {k.title} | `fault {k.says}` | {k.annex} | {k.left_out_when or '-'} |" for k in rows]
        lines += [""]
        lines += [f"- {k.title}: {_figures(k.values)} ({k.figures})" for k in rows if k.values]
    lines += ["", "## Not listed", "", "| annex D | why |", "| --- | --- |"]
    lines += [f"| {one.annex} | {one.why} |" for one in not_listed()]
    return "\n".join(lines) + "\n"


def _figures(values: object) -> str:
    assert isinstance(values, dict)
    return ", ".join(f"{name.replace('_', ' ')} {value}" for name, value in values.items())
