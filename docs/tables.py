"""Writes docs/look-up/tables.md from the tables that sizing, the checks and the electrics go by."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from pathlib import Path

from panelwright.catalog.tables import remarks
from panelwright.checks.limits import FILE as LIMITS
from panelwright.electrics.shorts import FUSING
from panelwright.sizing.tables import FOLDER

HEAD = """# Tables of sizing

Written by `python3 dev.py docs` from the data files of sizing, checks and electrics; do not edit.

What [sizing](../how/size.md) looks up, with the source of each row and how far it was checked:

- *seen*: read in a published copy, named in the remarks of the table;
- *seen in part*: some of it, or its neighbours;
- *from memory*: to be checked before anything is approved with it;
- *common practice*: no source.

An empty cell is a value that the table does not give.
Only the code that was adopted where you are, nameplates and makers' data decide.
"""

CHAPTERS = {
    "Motors": "motor_current_3ph motor_current_1ph motor_current_dc motor_current_synchronous motor_current_iec "
    "voltage_columns voltage_columns_dc code_letters locked_rotor_3ph locked_rotor_1ph",
    "Branch devices, overloads, contactors": "branch_device branch_ceilings standard_ratings usual_ratings "
    "breaker_curves overload_percent thermal_protector overload_class contactors_nema contactors_nema_jogging "
    "contactors_nema_1ph contactors_nema_amps",
    "Conductors": "ampacity ambient_30c bundling ampacity_machine ambient_machine grouping_machine "
    "ampacity_installation ambient_installation smallest_area conductor_resistance_awg conductor_impedance_awg "
    "conductor_resistance_mm2 torque torque_slot torque_socket",
    "Protective conductors, short circuits, earth faults": "equipment_earth protective_conductor fuse_gates fusing "
    "breaker_let_through earth_fault_times loop_impedance_taken assumed_short_circuit",
    "Control circuits": "control_device control_conductors transformer_inrush transformer_devices supply_sizes "
    "contact_codes_ac contact_codes_dc utilisation typical_contacts",
    "Safety": "b10d mttfd_bands coverage_bands performance_levels performance_sil risk_graph",
    "Heat, spares, colours": "heat spares button_colours",
    "Single numbers of rules": "factors control_factors feeder_factors limits",
}
UNITS = {
    "a": "A", "v": "V", "va": "VA", "c": "C", "s": "s", "mm2": "mm2", "mm": "mm", "lbin": "lb-in", "cmil": "cmil",
    "a2s": "A2s", "ka": "kA", "years": "years", "ohms": "ohm", "volts": "V",
}  # fmt: skip
NAMES = {
    "cu": "copper", "al": "aluminium", "cu12": "copper class 1 and 2", "cu5": "copper class 5 and 6",
    "cu5t": "tinned copper class 5 and 6", "pvc": "PVC", "z085": "Z at 0.85", "r": "R", "x": "X", "n": "number",
    "kw": "kW", "break": "breaks", "make": "makes", "cont": "continuous",
}  # fmt: skip


def tables_page() -> str:
    """The whole page: a list by chapters, then each table."""
    paths = {path.stem: path for path in [*FOLDER.glob("*.csv"), *LIMITS.parent.glob("*.csv"), FUSING]}
    chapters = {title: [paths.pop(name) for name in names.split()] for title, names in CHAPTERS.items()}
    if paths:
        chapters["Others"] = sorted(paths.values())
    parts = [HEAD]
    for title, some in chapters.items():
        parts += [f"**{title}**\n", *(f"- [{_title(path)}](#{_anchor(path)}): {_what(path)}" for path in some), ""]
    for some in chapters.values():
        for path in some:
            parts += [*_table(path), ""]
    return "\n".join(parts).rstrip() + "\n"


def _title(path: Path) -> str:
    return path.stem.replace("_", " ")


def _anchor(path: Path) -> str:
    return path.stem.replace("_", "-")


def _what(path: Path) -> str:
    """The first sentence of its remarks."""
    first = remarks(path).splitlines()[0]
    return re.split(r"\. (?=[A-Z(])|\.$", first)[0]


def _table(path: Path) -> Iterator[str]:
    """Heading, remarks, rows; a source or trust that all rows share is said once."""
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
    heads, *rows = list(csv.reader(lines))
    yield f"## {_title(path)}\n"
    first, *others = remarks(path).splitlines()
    yield first
    yield ""
    yield from (f"- {line}" for line in others)
    shared = {head: rows[0][at] for at, head in enumerate(heads) if head in ("source", "trust")
              and len({row[at] for row in rows}) == 1}  # fmt: skip
    if shared:
        yield f"- All rows: {', '.join(dict.fromkeys(shared.values()))}."
    if others or shared:
        yield ""
    shown = [at for at, head in enumerate(heads) if head not in shared]
    yield f"| {' | '.join(_head(heads[at]) for at in shown)} |"
    yield f"|{' --- |' * len(shown)}"
    for row in rows:
        yield f"| {' | '.join(row[at].replace('|', '/') for at in shown)} |"


def _head(column: str) -> str:
    """What a column holds, its unit behind a comma: "a_460v" is "460 V, A", "hp_230" is "230 V, hp"."""
    for pattern, form in (
        (r"a_(\d+)v", r"\1 V, A"), (r"hp_(\d+)", r"\1 V, hp"), (r"f(60|75|90)", r"\1 C"), (r"f(\d)", r"\1 circuits"),
        (r"a_(cu|al)(\d+)", r"\1 \2 C, A"), (r"a_(b1|b2|c|e)", r"method \1, A"), (r"amps_(\d+)", r"\1 V, A"),
        (r"(make|break)_(\d+)", r"\1 at \2 V, A"), (r"inrush_(\d+)", r"at \1 % of its volts, VA"),
        (r"kva_per_hp_(min|max)", r"\1, kVA/hp"), (r"melts_0(\d)s_a", r"melts in 0.\1 s, A"), (r"melts_(\d)s_a", r"melts in \1 s, A"),
        (r"(.*)_ohm_(kft|km)", r"\1, ohm/\2"), (r"ohm_kft_(.*)", r"\1, ohm/kft"), (r"lbin", "torque, lb-in"), (r"ka", "kA"),
        (r"va", "VA"), (r"ohms", "ohm"),
    ):  # fmt: skip
        found = re.fullmatch(pattern, column)
        if found:
            return _spelt(found.expand(form))
    name, _, unit = column.strip("_").rpartition("_")
    return _spelt(f"{name}, {UNITS[unit]}" if name and unit in UNITS else column)


def _spelt(text: str) -> str:
    words, comma, unit = text.replace("_", " ").strip().partition(",")
    spelt = " ".join(
        NAMES.get(word, word.upper() if word in ("b1", "b2", "c", "e") else word) for word in words.split()
    )
    return f"{spelt}{comma}{unit}"
