"""The tables: every row with a source, and the physics that holds between them."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

from panelwright.catalog.shelf import TRUSTS
from panelwright.sizing.conductors import AmpacityRow, MethodRow, awg_area_mm2
from panelwright.sizing.drops import AwgImpedanceRow
from panelwright.sizing.motors import GuideRow, ThreePhaseRow
from panelwright.sizing.tables import FOLDER, TableError, TableRow, read_table, remarks_of, rows_of

from .csv_cells import TABLES, cells

DOCS = Path(__file__).parents[2] / "docs"


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.stem)
def test_every_row_says_where_it_is_from(path: Path) -> None:
    """A source, a trust word that we use, a head that says what the table is."""
    rows = cells(path)

    assert rows
    assert remarks_of(path.stem)
    for row in rows:
        assert row["source"]
        assert row["trust"] in TRUSTS


def test_the_page_of_tables_is_what_the_tables_say() -> None:
    """`python3 dev.py docs` writes it again."""
    spec = importlib.util.spec_from_file_location("tables_of_docs", DOCS / "tables.py")
    assert spec is not None
    assert spec.loader is not None
    writer = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(writer)

    assert writer.tables_page() == (DOCS / "look-up" / "tables.md").read_text(encoding="utf-8")


# Disputed cells: copies of the table print them wrong; settled by the 2017 figures at manualshelf.com.
DISPUTED = [(1.5, "a_575v", 2.4), (0.75, "a_230v", 3.2), (0.5, "a_575v", 0.9), (1, "a_200v", 4.8)]


@pytest.mark.parametrize(("hp", "column", "amps"), DISPUTED)
def test_disputed_cells_are_the_right_ones(hp: float, column: str, amps: float) -> None:
    """NEC Table 430.250 against its wrong copies."""
    row = next(row for row in rows_of("motor_current_3ph", ThreePhaseRow) if row.hp == hp)

    assert amps == getattr(row, column)


def test_voltages_of_the_motor_table_go_together() -> None:
    """Within rounding 200 V is 1.15, 208 V 1.1, 460 V 0.5 and 575 V 0.4 of the 230 V current: the power is the same."""
    for row in rows_of("motor_current_3ph", ThreePhaseRow):
        if row.a_230v is None:
            continue
        for amps, share in ((row.a_200v, 1.15), (row.a_208v, 1.1), (row.a_460v, 0.5), (row.a_575v, 0.4)):
            assert amps is not None
            assert amps == pytest.approx(row.a_230v * share, rel=0.035, abs=0.06)


def test_machine_capacities_are_those_of_installations_at_40_c() -> None:
    """IEC 60204-1 Table 6 is 0.87 x IEC 60364-5-52 at 30 C, within the rounding of the printed values."""
    at_30 = {row.area_mm2: row for row in rows_of("ampacity_installation", MethodRow)}
    for row in rows_of("ampacity_machine", MethodRow):
        if row.area_mm2 in at_30:
            for method in ("a_b1", "a_b2", "a_c", "a_e"):
                expected = 0.87 * getattr(at_30[row.area_mm2], method)
                assert expected == pytest.approx(getattr(row, method), rel=0.025)


@pytest.mark.parametrize(("pipe", "reactance"), [("pvc", "pvc_al"), ("al", "pvc_al"), ("steel", "steel")])
def test_effective_impedance_is_r_cos_phi_plus_x_sin_phi(pipe: str, reactance: str) -> None:
    """Recomputed from R and X at 0.85, within the rounding of the printed cells (1 AWG in PVC is a known outlier)."""
    for row in rows_of("conductor_impedance_awg", AwgImpedanceRow):
        printed = getattr(row, f"z085_{pipe}_ohm_kft")
        if printed is not None:
            computed = getattr(row, f"r_{pipe}_ohm_kft") * 0.85 + getattr(row, f"x_{reactance}_ohm_kft") * 0.527
            assert printed == pytest.approx(computed, rel=0.06, abs=0.006)


def test_sizes_grow_down_the_table() -> None:
    """14 AWG to 1000 kcmil by the geometric series of ASTM B258, and against circular mils of Chapter 9 Table 8."""
    areas = [awg_area_mm2(row.size) for row in rows_of("ampacity", AmpacityRow)]

    assert sorted(areas) == areas
    for row in cells(FOLDER / "conductor_resistance_awg.csv"):
        assert float(row["area_cmil"]) * 5.067e-4 == pytest.approx(awg_area_mm2(row["size"]), rel=0.01)


def test_guide_currents_go_together() -> None:
    """IEC guide currents: 230 V is root 3 of 400 V, 690 V the other way, within the spread of the printed guides."""
    for row in rows_of("motor_current_iec", GuideRow):
        if row.kw != 0.12:  # that cell is doubtful, as its table says
            assert row.a_230v == pytest.approx(row.a_400v * 400 / 230, rel=0.08)
            assert row.a_690v == pytest.approx(row.a_400v * 400 / 690, rel=0.08)


def test_a_table_with_an_unknown_column_is_refused(tmp_path: Path) -> None:
    """The error names the file and the row."""

    class Row(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
        amps: float

    path = tmp_path / "made_up.csv"
    path.write_text("# made up\namps,volts,source,trust\n1,2,nobody,seen\n", encoding="utf-8")

    with pytest.raises(TableError, match=r"made_up\.csv: row 1: Object contains unknown field `volts`"):
        read_table(path, Row)


def test_a_table_without_a_source_is_refused(tmp_path: Path) -> None:
    """A value that nobody can check is no value."""

    class Row(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
        amps: float

    path = tmp_path / "made_up.csv"
    path.write_text("# made up\namps,source,trust\n1,,seen\n", encoding="utf-8")

    with pytest.raises(TableError, match="source"):
        read_table(path, Row)
