"""Your own materials: data only, house units or a unit, and one line with its number for every fault."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest

from formparts.errors import InputError
from formparts.materials import material, materials_from
from formparts.quantities import quantity

SHOP = """\
# Our own stock.
[[material]]
name = "coil 17"
density = "7.85 g/cm3"
modulus = "210 GPa"
yield_strength = 312
yield_is = "typical"
tensile_strength = [402, "430 MPa"]
elongation = 31
family = "carbon steel"
aliases = ["C17"]
source = "tensile test of coil 17"
[material.sources]
density = "EN 10025-1"

[[material]]
name = "panel"
density = 2700
"""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    path = tmp_path / "shop.toml"
    path.write_text(SHOP, encoding="utf-8")
    return path


def test_figures_are_read_with_and_without_units(shop: Path) -> None:
    coil, panel = materials_from(shop)
    assert (coil.name, coil.density, coil.modulus, coil.yield_strength) == ("coil 17", 7850, 210000, 312)
    assert (coil.tensile_strength_min, coil.tensile_strength_max, coil.elongation) == (402, 430, 31)
    assert coil.sources["modulus"] == "tensile test of coil 17"
    assert coil.sources["density"] == "EN 10025-1"
    assert (panel.density, panel.modulus, panel.yield_strength) == (2700, None, None)
    assert panel.sources == {"density": "your own, shop.toml"}
    assert pickle.loads(pickle.dumps((coil, panel))) == (coil, panel)


def test_a_material_of_a_file_is_found_by_its_path(shop: Path) -> None:
    for text in (f"{shop}:coil 17", f"{shop}: COIL 17", f"{shop}:c17"):
        assert material(text) == materials_from(shop)[0]
    assert material(f"{shop}:coil 17 at 7800 kg/m3").density == 7800
    with pytest.raises(InputError, match=r"is not in .*shop\.toml; there are: coil 17, panel"):
        material(f"{shop}:coil 18")


FAULTS = [
    (('modulus = "210 GPa"', 'modulus = "210 kg"'), "line 5", "measures mass"),
    (('modulus = "210 GPa"', "modulus = -1"), "line 5", "modulus = -1"),
    (("yield_strength = 312", "yeild_strength = 312"), "line 6", "did you mean yield_strength"),
    (("yield_strength = 312", "yield_strength = [312]"), "line 6", "yield_strength"),
    (("yield_strength = 312", "yield_strength = nan"), "line 6", "yield_strength"),
    (('"typical"', '"about"'), "line 7", "one of least, most, typical"),
    (("[402, ", "[502, "), "line 8", "least above its most"),
    (("[402, ", "[402, 404, "), "line 8", "one or two figures"),
    (("elongation = 31", "elongation = 310"), "line 9", "elongation = 310"),
    (('aliases = ["C17"]', 'aliases = "C17"'), "line 11", "list of names"),
    (
        ("[material.sources]\ndensity", "[material.sources]\npoisson"),
        "line 13",
        "not a figure of this material",
    ),
    (('aliases = ["C17"]', 'aliases = ["C17", 3]'), "line 11", "list of names"),
    (('aliases = ["C17"]', 'aliases = ["C17", " "]'), "line 11", "list of names"),
    (('[402, "430 MPa"]', "[]"), "line 8", "one or two figures"),
    (("density = 2700", "density = 2700\npoisson = 0.51"), "line 19", "poisson = 0.51"),
    (("density = 2700", "density = 2700\ncolour = [0.5, 0.5, 1.01]"), "line 19", "from 0 to 1"),
    (("density = 2700", "density = 2700\ncolour = [0.5, -0.01, 1]"), "line 19", "from 0 to 1"),
    (('name = "panel"\n', ""), "line 16", "every material has a name and a density"),
    (("density = 2700", ""), "line 16", "every material has a name and a density"),
    (("density = 2700", "density = 2.7"), "line 18", "2.7"),
    (("density = 2700", "density = 2700\ncolour = [1, 2, 3]"), "line 19", "from 0 to 1"),
    (('"panel"', '"coil 17"'), "line 17", "is there twice"),
    (('"panel"', '"2700 kg/m3"'), "line 17", "taken for a density"),
    (("density = 2700", "density = "), "line 18", "is not TOML"),
    (("density = 2700", "density = 2700\ndensity = 2800"), "line 19", "is not TOML"),
    (('"panel"', '"COIL  17"'), "line 17", "is there twice"),
    (('"panel"', '"c 17"'), "line 17", "is there twice"),
    (("# Our own stock.", "# Our mat.\nmat = 1"), "line 2", "write [[material]]"),
    (("# Our own stock.", "[tool]\nx = 1"), "line 1", "write [[material]]"),
    (("# Our own stock.", "run = 'rm'"), "line 1", "write [[material]]"),
]


@pytest.mark.parametrize(("change", "line", "words"), FAULTS, ids=[words for _, _, words in FAULTS])
def test_a_fault_is_said_in_one_line_with_its_number(
    change: tuple[str, str], line: str, words: str, tmp_path: Path
) -> None:
    assert change[0] in SHOP
    path = tmp_path / "shop.toml"
    path.write_text(SHOP.replace(*change), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        materials_from(path)
    said = str(caught.value)
    assert f"shop.toml {line}:" in said
    assert words in said
    assert "\n" not in said


def test_a_file_that_cannot_be_read_is_refused_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "folder.toml").mkdir()
    (tmp_path / "latin.toml").write_bytes(b"name = '\xe9'")
    (tmp_path / "empty.toml").write_text("")
    (tmp_path / "large.toml").write_text("#" * 1_100_000)
    (tmp_path / "deep.toml").write_text("material = " + "[" * 5000)
    for name in (
        "none.toml",
        "folder.toml",
        "latin.toml",
        "empty.toml",
        "large.toml",
        "deep.toml",
        "a\0.toml",
    ):
        with pytest.raises(InputError) as caught:
            materials_from(tmp_path / name)
        assert "\n" not in str(caught.value)


def test_what_is_at_its_limit_is_taken(tmp_path: Path) -> None:
    """Black and white are colours, and 0.5 is the Poisson's ratio of what keeps its volume (elasticity)."""
    path = tmp_path / "shop.toml"
    path.write_text(
        '[[material]]\nname = "A"\ndensity = 1000\npoisson = 0.5\ncolour = [0, 1, 0.0]\ntensile_strength = 300\n',
        encoding="utf-8",
    )
    (grade,) = materials_from(path)
    assert (grade.poisson, grade.colour) == (0.5, (0.0, 1.0, 0.0))
    assert (grade.tensile_strength_min, grade.tensile_strength_max) == (300.0, None)


def test_one_thousand_psi_is_what_it_is() -> None:
    # Exact definitions: 1 lbf = 4.4482216152605 N, 1 in = 25.4 mm.
    assert quantity("1000 psi", "stress") == pytest.approx(4448.2216152605 / 25.4**2, rel=1e-12)
