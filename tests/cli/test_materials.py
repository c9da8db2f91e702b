"""`formparts materials` and `formparts test-strips`: what is printed is what the tables have."""

from __future__ import annotations

from pathlib import Path

import pytest

from formparts.bending import allowance_table
from formparts.cli import main
from formparts.deviations import thickness_deviation
from formparts.forming import minimum_bend_radius
from formparts.materials import known_materials, material
from formparts.sources import source_of


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(list(arguments)) == 0
    return capsys.readouterr().out


def test_the_list_has_every_material_once(capsys: pytest.CaptureFixture[str]) -> None:
    lines = said(capsys, "materials").splitlines()
    names = [line[2:18].strip() for line in lines if line.startswith("  ")]
    assert sorted(names) == sorted(grade.name for grade in known_materials())
    assert lines[-1].startswith(f"{len(names)} materials")


@pytest.mark.parametrize("name", ["DC01", "6061-T6", "S355J2C", "1.4301", "CuZn37", "Ti-6Al-4V", "DD11"])
def test_one_material_is_shown_with_all_figures_sources_and_uses(
    capsys: pytest.CaptureFixture[str], name: str
) -> None:
    text, grade = said(capsys, "materials", name), material(name)
    for figure, source in grade.sources.items():
        assert f"{figure.replace('_', ' ')}: " in text
        assert f"from {source}; used for " in text
        publication = source_of(source)
        assert publication is None or publication.reference in text
    assert f"density: {grade.density:g} kg/m3" in text
    for band in grade.bands:
        for end in (band.least, band.most):
            assert end is None or f"{end:g}" in text
    for sheet in (1.0, 2.0, 3.0):
        across = minimum_bend_radius(grade, sheet)
        along = minimum_bend_radius(grade, sheet, along_rolling=True)
        told = f" across, {along.radius:.3g} mm along the rolling direction" if across.directions else ""
        assert f"  {sheet:g} mm: {across.radius:.3g} mm{told}\n" in text
    assert ("does not tell the rolling directions apart" in text) != across.directions
    assert "(seen)" not in text
    assert "from memory" not in text
    assert "overbend at 90 deg: R = 1 t" in text
    assert "test strip and the drawing decide" in text


def test_a_material_is_shown_by_a_loose_name_and_with_its_thickness_deviation(
    capsys: pytest.CaptureFixture[str],
) -> None:
    text = said(capsys, "materials", "aluminium 5754")
    assert text.startswith("5754-H22: ")
    assert f"2 mm: {thickness_deviation('5754-H22', 2).value:.3g}" in text
    assert "EN 485-4, table 1, alloy group II" in text


def test_ones_own_material_is_shown(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(
        '[[material]]\nname = "shop steel"\ndensity = 7850\nelongation = 30\ntensile_strength = [300, 400]\n'
    )
    text = said(capsys, "materials", f"{path}:shop steel")
    assert "tensile strength: 300 to 400 MPa" in text
    assert "estimate from its elongation of 30 %, bend a test strip" in text
    assert "overbend" not in text


def test_an_unknown_material_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["materials", "unobtainium"]) == 2
    assert "there is no such material" in capsys.readouterr().err


def test_test_strips_from_the_example_to_a_table_that_is_a_rule(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The example is a file to begin with; its K was worked out as 0.42 and 0.43, and the table reads back."""
    strips, table = tmp_path / "strips.csv", tmp_path / "own.csv"
    strips.write_text(said(capsys, "test-strips", "--example"))
    lines = said(capsys, "test-strips", str(strips), "--table", str(table)).splitlines()
    assert lines[0].startswith("2 mm, R 2 mm: K 0.42")
    assert "from 6 strips that are off by 0.02" in lines[0]
    assert lines[1].startswith("3 mm, R 4 mm: K 0.43")
    rule = allowance_table(table)
    assert rule.allowance(90, 2, 2) == pytest.approx(4.461, abs=0.05)  # pi/2 (2 + 0.42 x 2)
    assert main(["test-strips", str(strips), "--table", str(table)]) == 2
    assert "is there already" in capsys.readouterr().err
    assert main(["test-strips", str(strips), "--table", str(tmp_path / "own.txt")]) == 2
    assert main(["test-strips"]) == 2
    assert "give a CSV file, or --example" in capsys.readouterr().err


def test_one_strip_has_no_range(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "one.csv"
    head = "thickness [mm],inside_radius [mm],angle [deg],flat_length [mm],leg_1 [mm],leg_2 [mm]"
    path.write_text(f"{head}\n2,2,90,96.523893,60,40\n")
    assert said(capsys, "test-strips", str(path)) == (
        "2 mm, R 2 mm: K 0.440 from one strip; bend at least three to know how well\n"
    )


def test_every_publication_that_is_cited_is_listed_in_full(capsys: pytest.CaptureFixture[str]) -> None:
    """Those of radii, springback, K-factors and thickness too; where there is no thickness deviation it says so."""
    shown, _, publications = said(capsys, "materials", "304").partition("publications:")
    for key in ("ASTM A480/A480M", "EN 10259", "Tabellenbuch Metall", "Groover", "EN 10088-2"):
        assert key in shown
        assert f"  {key}: " in publications
    assert shown.count("thickness deviation of sheet") == 2
    assert "thickness deviation: no table that can be cited" in said(capsys, "materials", "Ti Grade 1")


def test_the_materials_of_a_file_of_ones_own_are_listed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(
        '[[material]]\nname = "coil 17"\ndensity = 7850\nthickness_deviation = 0.04\n', encoding="utf-8"
    )
    lines = said(capsys, "materials", str(path)).splitlines()
    assert lines[0] == "your own:"
    assert lines[1].strip() == "coil 17"
    assert lines[-1].startswith("1 material;")
    assert "2 mm: 0.04" in said(capsys, "materials", f"{path}:coil 17")
