"""Tightening torque of power terminals, where the device's maker gives none: NEC Annex I by conductor size."""

from __future__ import annotations

from collections.abc import Sequence

from ..circuit import Quantity
from .answers import Answer, Working, amount
from .branch import branch_wires
from .conductors import awg_area_mm2, awg_name
from .routes import Route
from .tables import OutsideTable, TableRow, rows_of

TORQUE = "tightening torque"
NM_LBIN = 0.112984829  # newton metres in a pound-inch


class TorqueRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Pound-inches by kind of screw for a span of conductor sizes."""

    from_size: str
    to_size: str
    slot_narrow_lbin: float | None = None
    slot_wide_lbin: float
    hex_split_bolt_lbin: float
    hex_other_lbin: float


def torque_row(area_mm2: float) -> TorqueRow:
    """The row of a conductor. Raises: OutsideTable above 350 kcmil. Source: NEC Annex I Table I.1."""
    for row in rows_of("torque", TorqueRow):
        if area_mm2 <= awg_area_mm2(row.to_size) * 1.005:
            return row
    raise OutsideTable("the table of torques ends at 350 kcmil")


def torque_answers(routes: Sequence[Route]) -> tuple[Answer, ...]:
    """One answer for each size of power wire in the file."""
    sizes: dict[str, Quantity] = {}
    for route in routes:
        for wire in branch_wires(route):
            if wire.size is not None:
                sizes.setdefault(wire.size.text, wire.size)
    return tuple(_answer(text, size) for text, size in sizes.items())


def _answer(text: str, size: Quantity) -> Answer:
    row = torque_row(size.value * 1e6)
    span = awg_name(row.to_size) if row.from_size == row.to_size else f"{row.from_size} to {awg_name(row.to_size)}"
    kinds = {
        "slot up to 3/64 in wide and 1/4 in long": row.slot_narrow_lbin,
        "wider or longer slot": row.slot_wide_lbin,
        "hexagonal, split bolt": row.hex_split_bolt_lbin,
        "hexagonal, other": row.hex_other_lbin,
    }
    steps = tuple(
        Working(f"{span}, {kind}: {_both(lbin)}", row.source, row.source, row.trust)
        for kind, lbin in kinds.items()
        if lbin is not None
    )
    most = row.slot_narrow_lbin if row.slot_narrow_lbin is not None else row.slot_wide_lbin
    choice = f"as marked on the device; if nothing is marked {_both(most)} and up, by its screw"
    warnings = ("not for control circuits: there the maker's value alone holds",)
    return Answer("terminals", f"{TORQUE}, {text}", choice, most * NM_LBIN, "N m", steps, warnings=warnings)


def _both(lbin: float) -> str:
    return f"{lbin:g} lb-in ({amount(lbin * NM_LBIN, 'N m', 2)})"
