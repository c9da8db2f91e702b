"""The option `--materials FILE`: names of your own file go before those of the table."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Annotated

import pytest

from formparts.body import Body, Sheet
from formparts.closed_forms import properties
from formparts.commands.own_materials import add_option, with_own_materials
from formparts.errors import InputError
from formparts.outline import rectangle
from formparts.parameters import Length, MaterialName
from formparts.recipe_functions import recipe
from formparts.shapes import plate

SHOP = '[[material]]\nname = "coil 17"\ndensity = 7800\n[[material]]\nname = "S235JR"\ndensity = 7900\n'


@recipe
def strip(
    width: Annotated[float, Length("width of the strip", 1, 1000)] = 100,
    material: Annotated[str, MaterialName("of the strip")] = "S235JR",
    backing: Annotated[str, MaterialName("of the backing, not used")] = "DC01",
) -> Body:
    """
    A strip of 1000 mm x 100 mm x 2 mm.

    By hand: 200 cm3, so 1.57 kg at 7850 kg/m3.
    """
    assert backing
    return plate(Sheet(2, 2, material), rectangle(1000, width), "strip")


@pytest.fixture
def shop(tmp_path: Path) -> str:
    path = tmp_path / "shop.toml"
    path.write_text(SHOP, encoding="utf-8")
    return str(path)


@pytest.mark.parametrize(
    ("values", "mass"),
    [
        ({}, 1.58),  # the file's own S235JR, with 7900 kg/m3
        ({"material": "coil 17"}, 1.56),
        ({"material": "COIL17"}, 1.56),
        ({"material": "DC01"}, 1.57),
        ({"material": "coil 17 at 8000 kg/m3"}, 1.60),
        ({"material": "7850 kg/m3"}, 1.57),
    ],
)
def test_mass_of_one_own_material(shop: str, values: dict[str, str], mass: float) -> None:
    """By hand: 200 cm3 of each."""
    body = strip(**with_own_materials(strip, values, shop))
    assert properties(body).mass == pytest.approx(mass, rel=1e-9)


def test_without_the_option_nothing_changes() -> None:
    assert with_own_materials(strip, {"material": "DC01"}, None) == {"material": "DC01"}
    parser = argparse.ArgumentParser()
    add_option(parser)
    assert parser.parse_args([]).materials is None
    assert parser.parse_args(["--materials", "a.toml"]).materials == "a.toml"


def test_an_own_name_is_refused_without_its_file(shop: str) -> None:
    with pytest.raises(InputError, match="there is no such material"):
        strip(material="coil 17")
    with pytest.raises(InputError, match="cannot be read"):
        with_own_materials(strip, {}, shop + ".bak.toml")
