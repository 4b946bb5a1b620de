"""Tightening torque of power terminals, where the device's maker gives none: NEC Annex I by conductor size."""

from __future__ import annotations

from collections.abc import Sequence

from ..circuit import Quantity
from .answers import Allowed, Answer, Working, amount
from .asking import POSITIVE, asked
from .branch import branch_wires
from .conductors import awg_area_mm2, awg_name
from .routes import Route
from .tables import OutsideTable, TableRow, rows_of

TORQUE = "tightening torque"
NM_LBIN = 0.112984829  # newton metres in a pound-inch
SAME_SOCKET_MM = 0.1


class TorqueRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Pound-inches by kind of screw for a span of conductor sizes."""

    from_size: str
    to_size: str
    slot_narrow_lbin: float | None = None
    slot_wide_lbin: float
    hex_split_bolt_lbin: float
    hex_other_lbin: float


class SlotRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Pound-inches of small slotted screws by length and width of the slot."""

    length_max_mm: float
    narrow_lbin: float
    wide_lbin: float


class SocketRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Pound-inches of screws with a recessed socket by width across flats."""

    width_mm: float
    lbin: float


@asked(length_mm=POSITIVE)
def slot_torque_nm(length_mm: float, *, wide: bool) -> float:
    """Newton metres for a slotted screw smaller than no. 10; `wide`: 1.2 mm (3/64 in) and more.

    Raises: OutsideTable for longer slots. Source: NEC Annex I Table I.2.
    """
    for row in rows_of("torque_slot", SlotRow):
        if length_mm <= row.length_max_mm:
            return (row.wide_lbin if wide else row.narrow_lbin) * NM_LBIN
    raise OutsideTable("the table of torques for small slotted screws ends at slots of 6.4 mm")


@asked(width_mm=POSITIVE)
def socket_torque_nm(width_mm: float) -> float:
    """Newton metres for a screw with a socket of this width across flats, within a tenth of a millimetre.

    Raises: OutsideTable for a width that is not listed. Source: NEC Annex I Table I.3.
    """
    rows = rows_of("torque_socket", SocketRow)
    row = next((row for row in rows if abs(row.width_mm - width_mm) <= SAME_SOCKET_MM), None)
    if row is None:
        listed = ", ".join(f"{row.width_mm:g}" for row in rows)
        raise OutsideTable(f"the table of torques has no socket of {width_mm:g} mm; it has {listed} mm")
    return row.lbin * NM_LBIN


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
    also = _small_screws() if row is rows_of("torque", TorqueRow)[0] else ()
    return Answer("terminals", f"{TORQUE}, {text}", choice, most * NM_LBIN, "N m", steps, also, warnings=warnings)


def _small_screws() -> tuple[Allowed, ...]:
    """What holds for screws smaller than no. 10, which the smallest power wires are put under."""
    rows = rows_of("torque_slot", SlotRow)
    low, high = min(row.narrow_lbin for row in rows), max(row.wide_lbin for row in rows)
    why = f"slotted screws smaller than no. 10, by their slot: {rows[0].cited}"
    return (Allowed(f"{_both(low)} to {_both(high)}", why, low * NM_LBIN),)


def _both(lbin: float) -> str:
    return f"{lbin:g} lb-in ({amount(lbin * NM_LBIN, 'N m', 2)})"
