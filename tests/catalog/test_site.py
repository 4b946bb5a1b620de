"""Insulations and enclosures, typed again from published copies."""

from __future__ import annotations

import pytest

from panelwright.catalog.site import named, site_words

# Columns of NEC Table 310.16 by insulation, read at irinformir.blogspot.com (wire insulation temperature limits).
COLUMNS = {
    60: ["TW", "UF"],
    75: ["THW", "THWN", "RHW", "XHHW", "USE", "ZW"],
    90: ["THHN", "THWN-2", "XHHW-2", "RHH", "RHW-2", "FEP"],
}


@pytest.mark.parametrize("celsius", COLUMNS)
def test_insulations_bear_what_their_column_says(celsius: int) -> None:
    """XHHW and USE stand in two columns; that of wet places holds here."""
    for name in COLUMNS[celsius]:
        row = named(site_words().insulation, name)
        assert row is not None

        assert (celsius, "seen") == (row.celsius, row.trust), name


# W/m2K, read at studylib.net/doc/13682565 and uniklima.com.br (dimensioning); where others are printed, those too.
WALLS = {"painted-steel": (5.5, ""), "stainless-steel": (3.7, "3.6 and 5.5"), "aluminium": (12, "6.5"),
         "plastic": (3.5, "")}  # fmt: skip


def test_walls_let_through_what_is_printed() -> None:
    """And the sheet can say what else is printed for them."""
    assert WALLS == {row.name: (row.w_m2_k, row.others) for row in site_words().material}


# Effective cooling surface by height, width and depth: IEC TR 60890, from memory, written out as its table does.
SURFACES = {
    "free": lambda h, w, d: 1.8 * h * (w + d) + 1.4 * w * d,
    "against-a-wall": lambda h, w, d: 1.4 * w * (h + d) + 1.8 * d * h,
    "at-the-end-of-a-row": lambda h, w, d: 1.4 * d * (h + w) + 1.8 * w * h,
    "at-the-end-of-a-row-against-a-wall": lambda h, w, d: 1.4 * h * (w + d) + 1.4 * w * d,
    "in-a-row": lambda h, w, d: 1.8 * w * h + 1.4 * w * d + d * h,
    "in-a-row-against-a-wall": lambda h, w, d: 1.4 * w * (h + d) + d * h,
    "in-a-row-against-a-wall-roof-covered": lambda h, w, d: 1.4 * w * h + 0.7 * w * d + d * h,
}


def test_cooling_surfaces_follow_the_formulas_of_the_table() -> None:
    """For a box of 2 x 0.8 x 0.5 m, each way of standing."""
    h, w, d = 2.0, 0.8, 0.5

    assert {name: pytest.approx(formula(h, w, d)) for name, formula in SURFACES.items()} == {
        row.name: row.hw * h * w + row.hd * h * d + row.wd * w * d for row in site_words().standing
    }
