"""Ohms of a length of wire: by its size as typed, at the temperature it works at."""

from __future__ import annotations

import re
from functools import cache

from ..catalog.quantities import FOOT_M
from ..circuit import Quantity
from .factors import factor
from .tables import TableRow, rows_of

MM2 = 1e-6
_AWG = re.compile(r"(\d+(?:/0)?)\s*AWG", re.IGNORECASE)


class _AwgRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    size: str
    area_cmil: float
    strands: int
    ohm_kft_cu_uncoated: float
    ohm_kft_cu_coated: float
    ohm_kft_al: float


class _AreaRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    area_mm2: float
    cu12_ohm_km: float | None = None
    cu5_ohm_km: float | None = None
    cu5t_ohm_km: float | None = None
    al_ohm_km: float | None = None


def ohms_a_metre(size: Quantity, celsius: float) -> tuple[float, TableRow] | None:
    """Ohms of a metre of stranded copper of this size at a temperature, and the row; None for a size without a row.

    Where a table has two lines for a size, the larger resistance.
    """
    gauge = _AWG.search(size.text)
    if gauge is not None:
        rows = [row for row in rows_of("conductor_resistance_awg", _AwgRow) if row.size == gauge[1]]
        if not rows:
            return None
        row = max(rows, key=lambda one: one.ohm_kft_cu_uncoated)
        warm = 1 + factor("alpha copper 75").value * (celsius - factor("copper nec").value)
        return row.ohm_kft_cu_uncoated * warm / (1000 * FOOT_M), row
    area = _area_row(round(size.value / MM2, 4))
    if area is None:
        return None
    ohms = area.cu5_ohm_km or area.cu12_ohm_km
    if ohms is None:
        return None
    return ohms / 1000 * (1 + factor("alpha copper").value * (celsius - factor("copper iec").value)), area


@cache
def _area_row(area_mm2: float) -> _AreaRow | None:
    return next((row for row in rows_of("conductor_resistance_mm2", _AreaRow) if row.area_mm2 == area_mm2), None)
