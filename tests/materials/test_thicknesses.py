"""Standard thicknesses against the printed tables of gauges (several independent pages agree; seen)."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from formparts.errors import InputError
from formparts.materials import gauge_thickness, nearest_thickness, standard_thicknesses

TABLE = Path(__file__).parents[1] / "handbook" / "gauges.csv"
with TABLE.open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_a_gauge_is_what_the_tables_print(row: dict[str, str]) -> None:
    found = gauge_thickness(int(row["gauge"]), row["metal"]) / 25.4
    assert abs(found - float(row["expected"])) <= float(row["tol"])


# Each system read as another misses nearly all rows: there is no such thing as "16 gauge" without a metal.
@pytest.mark.parametrize("metal", ["steel", "galvanised steel", "stainless steel", "aluminium"])
def test_the_gauge_of_another_metal_misses(metal: str) -> None:
    others = [row for row in ROWS if row["metal"] != metal and int(row["gauge"]) >= 8]
    missed = [
        row
        for row in others
        if abs(gauge_thickness(int(row["gauge"]), metal) / 25.4 - float(row["expected"])) > float(row["tol"])
    ]
    assert len(missed) >= 0.9 * len(others)


def test_series_rise_and_are_named() -> None:
    for series in (
        "metric",
        "gauge, steel",
        "gauge, galvanised steel",
        "gauge, stainless steel",
        "gauge, aluminium",
        "gauge, copper",
        "gauge, brass",
    ):
        thicknesses = [one.thickness for one in standard_thicknesses(series)]
        assert thicknesses == sorted(set(thicknesses))
        assert all(one.source and one.label for one in standard_thicknesses(series))


def test_the_weight_of_a_gauge_is_for_trade_and_no_density() -> None:
    # ORACLES 9.2, arithmetic: 41.82 lb/ft2 to the inch would be 8038.7 kg/m3; steel has 7850.
    density = 41.82 * 0.45359237 / 0.3048**2 / 0.0254
    assert density == pytest.approx(8038.7, abs=0.1)
    square_foot = gauge_thickness(10) / 1000 * 0.3048**2 * 7850 / 0.45359237
    assert square_foot == pytest.approx(5.625 * 7850 / 8038.7, rel=1e-5)


@pytest.mark.parametrize(
    ("given", "label"),
    [("1/16 in", "1.5 mm"), (2.05, "2 mm"), ("3 mm", "3 mm"), (0.1, "0.5 mm"), (99, "25 mm")],
)
def test_the_nearest_thickness(given: object, label: str) -> None:
    assert nearest_thickness(given).label == label


def test_gauges_of_copper_and_brass_and_american_spelling() -> None:
    """Machinery's Handbook, Brown and Sharpe gauge, in inches: 16 is 0.0508, 20 is 0.0320, 36 is 0.0050."""
    for metal in ("copper", "brass", "aluminum", "Aluminium"):
        for gauge, inches in ((16, 0.0508), (20, 0.0320), (30, 0.0100), (36, 0.0050)):
            assert gauge_thickness(gauge, metal) / 25.4 == pytest.approx(inches, abs=0.0001)
    assert gauge_thickness(16, "galvanized steel") == gauge_thickness(16, "galvanised steel")
    assert gauge_thickness(16, "galvanized") / 25.4 == pytest.approx(0.0635, abs=0.0001)
    for gauge, inches in ((31, 0.0105), (32, 0.0097), (34, 0.0082), (36, 0.0067), (38, 0.0060)):
        assert gauge_thickness(gauge) / 25.4 == pytest.approx(
            inches, abs=0.0001
        )  # Manufacturers' Standard, as above


def test_no_standard_of_wire_is_given_for_sheet() -> None:
    """ASTM B258 is for wire: it is named as that, and the gauge by its own name."""
    for series in ("gauge, aluminium", "gauge, copper", "gauge, brass"):
        for one in standard_thicknesses(series):
            assert one.source.startswith("Machinery's Handbook")
            assert "Brown and Sharpe" in one.source
            assert "wire" in one.source


def test_what_is_no_gauge_is_refused() -> None:
    for work in (
        lambda: gauge_thickness(39),
        lambda: gauge_thickness(33, "galvanized steel"),
        lambda: gauge_thickness(2),
        lambda: gauge_thickness(16, "wood"),
        lambda: standard_thicknesses("wire"),
        lambda: nearest_thickness(-1),
        lambda: nearest_thickness("thick"),
    ):
        with pytest.raises(InputError) as caught:
            work()
        assert "\n" not in str(caught.value)


def test_the_weights_of_the_gauges_are_those_of_the_law() -> None:
    """15 U.S.C. 206 (seen): gauge 1 weighs 180 oz/ft2; steps of 10 oz to gauge 14, of 5 to 16, 4 to 20, 2 to 26, 1 to
    31, 1/2 to 36 and 1/4 to 38. At 40 lb to the square foot and inch they are the thicknesses of stainless sheet."""
    ounces = [180.0]
    for steps, step in ((13, 10), (2, 5), (4, 4), (6, 2), (5, 1), (5, 0.5), (2, 0.25)):
        ounces += [ounces[-1] - step * count for count in range(1, steps + 1)]
    for gauge in range(3, 39):
        inches = gauge_thickness(gauge, "stainless steel") / 25.4
        assert inches == pytest.approx(ounces[gauge - 1] / 16 / 40, rel=1e-12), gauge
