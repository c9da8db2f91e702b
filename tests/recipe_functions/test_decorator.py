"""What @recipe promises: values converted and held against limits, one line for whatever is wrong."""

from __future__ import annotations

import multiprocessing
import pickle
from pathlib import Path
from typing import Annotated, Any

import numpy as np
import pytest

from formparts.bending import KFactor
from formparts.body import Body
from formparts.errors import InputError, UnitsError
from formparts.materials import Material, material, with_density
from formparts.parameters import Angle, Choice, Count, Length, MaterialName, Number, Yes
from formparts.recipe_functions import Recipe, find_recipe, recipe
from tests.registry import UNITS

SAMPLES = Path(__file__).with_name("sample_parts.py")
STRIP = find_recipe(f"{SAMPLES}:cover_strip")
TONGUE = find_recipe(f"{SAMPLES}:long_tongue")
QUANTITY = UNITS.Quantity


def test_a_recipe_knows_itself() -> None:
    assert (STRIP.name, STRIP.summary) == ("cover_strip", "A flat strip that covers a slot.")
    assert "thickness x density" in STRIP.doc
    assert STRIP.source == SAMPLES.resolve()
    first = STRIP.parameters[0]
    assert (first.name, first.unit, first.default, first.limits) == ("length", "mm", 120.0, "5 to 2000 mm")
    assert (first.text, first.default_text) == ("along the strip", "120 mm")
    assert [parameter.default_text for parameter in STRIP.parameters[7:]] == [
        "S235JR",
        "round",
        "K 0.44",
        "no",
    ]


def test_defaults_and_limits_are_kept_in_house_units() -> None:
    assert STRIP.resolved() == {
        "length": 120.0,
        "width": 40.0,
        "thickness": 1.5,
        "bend_angle": 90.0,
        "lug_count": 4,
        "k_factor": 0.44,
        "strength": 360.0,
        "material": "S235JR",
        "tip": "round",
        "bend_rule": "K 0.44",
        "painted": False,
    }


@pytest.mark.parametrize(
    ("name", "value", "expected"),
    [
        ("length", "1 1/8 in", 28.575),  # 9/8 x 25.4 by the 1959 definition of the inch
        ("length", QUANTITY(2, "inch"), 50.8),
        ("length", np.float64(7), 7.0),
        ("length", "2 m", 2000.0),
        ("bend_angle", "0.25 turn", 90.0),
        ("bend_angle", "75°", 75.0),
        ("lug_count", "6", 6),
        ("lug_count", 6.0, 6),
        ("lug_count", np.int64(6), 6),
        ("k_factor", "0.5", 0.5),
        ("strength", "0.5 GPa", 500.0),
        ("material", "1.4301", "1.4301"),
        ("material", "copper", "Cu-ETP"),
        ("material", "7.85 g/cm3", "7850 kg/m3"),
        ("material", material("DC01"), "DC01"),
        ("material", with_density(material("DC01"), 7800), "DC01 at 7800 kg/m3"),
        ("tip", "square", "square"),
        ("bend_rule", " din 6935 ", "din 6935"),
        ("bend_rule", 0.33, "K 0.33"),
        ("bend_rule", KFactor(0.5), "K-factor 0.5"),
        ("painted", True, True),
        ("painted", "yes", True),
        ("painted", " OFF ", False),
    ],
)
def test_a_value_is_converted_to_house_units(name: str, value: object, expected: object) -> None:
    found = STRIP.resolved(**{name: value})[name]
    assert type(found) is type(expected)
    # The angle of a turn goes through pi: the last digit of a double.
    assert found == (pytest.approx(expected, rel=1e-15) if name == "bend_angle" else expected)


def test_a_call_builds_the_part_from_converted_values() -> None:
    body = STRIP(length="10 cm", width="2 cm", material="7850 kg/m3", thickness="2 mm")
    assert isinstance(body, Body)
    # By hand: 100 x 20 x 2 mm = 4000 mm3 = 4e-6 m3, at 7850 kg/m3 31.4 g.
    volume = body.flats[0].net.area * body.sheet.thickness
    assert volume * 1e-9 * body.sheet.material.density == pytest.approx(0.0314, rel=1e-12)


# name of parameter, value, words that the line must hold (value and limit among them)
BAD: list[tuple[str, object, tuple[str, ...]]] = [
    ("length", 2, ("2 mm", "smaller than the least, 5 mm", "5 to 2000 mm")),
    ("length", 0, ("0 mm", "5 to 2000 mm")),
    ("length", -120, ("-120 mm", "5 to 2000 mm")),
    ("length", 2000.5, ("2000.5 mm", "larger than the greatest, 2000 mm")),
    ("length", float("nan"), ("nan mm", "not a finite number", "5 to 2000 mm")),
    ("length", float("inf"), ("inf mm", "not a finite number", "5 to 2000 mm")),
    ("length", "long", ("long", "cannot be read", "5 to 2000 mm")),
    ("length", "120 kg", ("120 kg", "measures mass", "5 to 2000 mm")),
    ("length", "120 furlogs", ("120 furlogs", "not a unit", "5 to 2000 mm")),
    ("length", "12,5 mm", ("12,5 mm", "comma", "12.5 mm", "5 to 2000 mm")),
    ("length", True, ("True", "bool", "5 to 2000 mm")),
    ("length", None, ("None", "nothing was given", "5 to 2000 mm")),
    ("length", [120], ("[120]", "list", "5 to 2000 mm")),
    ("length", QUANTITY(120, "kg"), ("120 kilogram", "measures mass", "5 to 2000 mm")),
    ("width", "20 in", ("20 in", "508 mm is larger", "5 to 500 mm")),
    ("bend_angle", 0, ("0 deg", "smaller than the least, 1 deg", "1 to 170 deg")),
    ("bend_angle", 180, ("180 deg", "larger than the greatest, 170 deg")),
    ("bend_angle", "4 rad", ("4 rad", "229.18", "1 to 170 deg")),
    ("bend_angle", "75 mm", ("75 mm", "an angle is wanted", "1 to 170 deg")),
    ("bend_angle", float("-inf"), ("-inf deg", "not a finite number", "1 to 170 deg")),
    ("bend_angle", {}, ("{}", "dict", "1 to 170 deg")),
    ("lug_count", 0, ("0", "smaller than the least, 1", "1 to 60")),
    ("lug_count", 4.5, ("4.5", "not a whole number", "1 to 60")),
    ("lug_count", "many", ("many", "cannot be read", "1 to 60")),
    ("lug_count", "4 mm", ("4 mm", "has no unit", "1 to 60")),
    ("lug_count", True, ("True", "bool", "1 to 60")),
    ("lug_count", float("nan"), ("nan", "not a finite number", "1 to 60")),
    ("lug_count", 10**30, ("1e+30", "larger than the greatest, 60")),
    ("k_factor", 0.1, ("0.1", "smaller than the least, 0.2", "0.2 to 0.6")),
    ("k_factor", "44%", ("44%", "has no unit", "0.2 to 0.6")),
    ("k_factor", None, ("None", "nothing was given", "0.2 to 0.6")),
    ("strength", "36 kg", ("36 kg", "a stress is wanted", "100 to 2000 MPa")),
    ("strength", "1 ksi", ("1 ksi", "6.89", "100 to 2000 MPa")),
    ("material", "S999", ("S999", "there is no such material", "S235JR")),
    ("material", 7850, ("7850", "not the name of a material", "S235JR")),
    ("material", None, ("None", "not the name of a material", "S235JR")),
    ("material", "7.85 kg/m3", ("7.85 kg/m3", "smaller than the least, 500 kg/m3", "500 to 23000 kg/m3")),
    ("material", Material("home-made", 7000.0), ("home-made", "no name leads to it")),
    ("tip", "rond", ("rond", "did you mean round?", "round, square, chamfered")),
    ("tip", "", ("''", "there is no such choice", "round, square, chamfered")),
    ("tip", 3, ("3", "there is no such choice", "round, square, chamfered")),
    ("tip", None, ("None", "there is no such choice", "round, square, chamfered")),
    ("bend_rule", "rule of thumb", ("rule of thumb", "is not a bend rule", "K 0.44, DIN 6935")),
    ("bend_rule", "K 1.5", ("K 1.5", "is outside its range", "from 0 (inside) to 1")),
    ("bend_rule", 44, ("K 44", "is outside its range", "from 0 (inside) to 1")),
    ("bend_rule", float("nan"), ("nan", "is not a bend rule", "K 0.44")),
    ("bend_rule", True, ("True", "is not a bend rule")),
    ("bend_rule", None, ("None", "is not a bend rule", "K 0.44")),
    ("bend_rule", "nowhere.csv", ("nowhere.csv", "cannot be read", "CSV file")),
    ("painted", "maybe", ("maybe", "neither yes nor no", "yes or no")),
    ("painted", 1, ("1", "neither yes nor no", "yes or no")),
    ("painted", None, ("None", "neither yes nor no", "yes or no")),
    ("lenght", 3, ("3", "there is no such parameter", "did you mean length?")),
    ("colour", "red", ("red", "there is no such parameter", "there are: length, width")),
    ("self", 3, ("3", "there is no such parameter")),
]


@pytest.mark.parametrize(
    ("name", "value", "words"), BAD, ids=[f"{row[0]}-{place}" for place, row in enumerate(BAD)]
)
@pytest.mark.parametrize("act", [STRIP, STRIP.resolved], ids=["call", "resolved"])
def test_a_bad_value_gives_one_line_with_recipe_parameter_value_and_limit(
    act: Any, name: str, value: object, words: tuple[str, ...]
) -> None:
    with pytest.raises(InputError) as caught:
        act(**{name: value})
    line = str(caught.value)
    assert line.startswith(f"cover_strip: {name} = ")
    assert "\n" not in line
    assert all(word in line for word in words), line
    assert str(pickle.loads(pickle.dumps(caught.value))) == line


def test_a_name_without_end_is_shown_by_its_beginning() -> None:
    """A table that lost its line breaks gives one; found by the fuzz tool."""
    with pytest.raises(InputError) as caught:
        STRIP(**{"rise" + "1/9" * 9999: 3})
    assert str(caught.value).startswith("cover_strip: rise1/91/91/9")
    assert len(str(caught.value)) < 400


def test_several_bad_values_are_all_named_and_the_first_is_the_error() -> None:
    with pytest.raises(UnitsError) as caught:
        STRIP(length="3 kg", bend_angle=0, tip="rond", width=50)
    line = str(caught.value)
    assert line.startswith("cover_strip: length = 3 kg: kg measures mass")
    assert "; and also: bend_angle = 0 deg: smaller than the least, 1 deg" in line
    assert "; tip = rond: there is no such choice" in line
    assert line.count("cover_strip") == 1
    assert "width" not in line
    assert "\n" not in line


def test_an_error_of_a_builder_is_said_under_the_recipes_name() -> None:
    with pytest.raises(InputError, match=r"^long_tongue: tongue length = 5 mm: .*; .*longer"):
        TONGUE(length=5, width=100)


def test_a_recipe_that_gives_back_no_body_is_refused() -> None:
    @recipe
    def hollow() -> Any:
        """Nothing."""
        return None

    with pytest.raises(
        InputError, match=r"^hollow: return = None: the recipe gave back NoneType, and a Body is"
    ):
        hollow()


def test_a_fault_in_the_recipes_code_is_one_line_with_its_place() -> None:
    @recipe
    def broken(count: Annotated[int, Count("parts", 0, 9)] = 0) -> Any:
        """Divide by nothing."""
        return 1 / count

    line = broken.function.__code__.co_firstlineno + 3
    words = rf"^broken: file = .*test_decorator\.py, line {line}: .*ZeroDivisionError: division by zero; fix"
    with pytest.raises(InputError, match=words) as caught:
        broken()
    assert isinstance(caught.value.__cause__, ZeroDivisionError)


def test_an_interrupt_from_the_keyboard_passes() -> None:
    @recipe
    def slow() -> Any:
        """Stopped by hand."""
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        slow()


def _decorated(hint: Any, default: Any, text: str = "A part.") -> Recipe:
    def part(size=default):  # type: ignore[no-untyped-def]
        pass

    part.__doc__ = text
    part.__annotations__ = {} if hint is None else {"size": hint}
    return recipe(part)


FINE = Length("across", minimum=5, maximum=50)


@pytest.mark.parametrize(
    ("hint", "default", "words"),
    [
        (None, 10, ("size = no annotation", "needs exactly one kind", "Annotated")),
        (float, 10, ("size = ", "float", "needs exactly one kind")),
        (Annotated[float, "across"], 10, ("needs exactly one kind",)),
        (Annotated[float, FINE, FINE], 10, ("needs exactly one kind",)),
        (Annotated[int, FINE], 10, ("int", "Length is a float")),
        (Annotated[float, Count("parts", 1, 5)], 3, ("float", "Count is a int")),
        (Annotated[float, Length("across", maximum=50)], 10, ("its minimum is missing",)),
        (Annotated[float, Length("across", minimum=5)], 10, ("its maximum is missing",)),
        (Annotated[float, Angle("turn", minimum=5)], 10, ("its maximum is missing",)),
        (Annotated[float, Number("k", maximum=5)], 10, ("its minimum is missing",)),
        (Annotated[float, Length("across", 50, 5)], 10, ("50 mm", "greater than its maximum, 5 mm", "swap")),
        (Annotated[float, Length("across", "5 kg", 50)], 10, ("size (minimum) = 5 kg", "measures mass")),
        (Annotated[float, Length(" ", 5, 50)], 10, ("says nothing",)),
        (Annotated[float, FINE], 4, ("size = 4 mm", "smaller than the least, 5 mm")),
        (Annotated[float, FINE], None, ("size = None", "nothing was given", "5 to 50 mm")),
        (Annotated[float, FINE], "10 kg", ("size = 10 kg", "measures mass")),
        (
            Annotated[float, Number("k", 0, 1, unit="furlong")],
            1,
            ("furlong", "not a unit of the house", "MPa"),
        ),
        (Annotated[str, Choice("shape", ())], "round", ("no words to choose from",)),
        (Annotated[str, Choice("shape", ("round",))], "square", ("size = square", "no such choice")),
        (Annotated[str, MaterialName("of it")], "S999", ("size = S999", "there is no such material")),
        (Annotated[bool, Yes("painted")], "maybe", ("size = maybe", "neither yes nor no")),
    ],
)
def test_a_faulty_declaration_is_refused_where_it_is_made(
    hint: Any, default: Any, words: tuple[str, ...]
) -> None:
    with pytest.raises(InputError) as caught:
        _decorated(hint, default)
    line = str(caught.value)
    assert line.startswith("part: ")
    assert "\n" not in line
    assert all(word in line for word in words), line


def test_a_parameter_without_default_or_that_is_not_by_name_is_refused() -> None:
    def needs(size: Annotated[float, FINE]) -> None:
        """A part."""

    def many(*sizes: Annotated[float, FINE]) -> None:
        """A part."""

    def placed(size: Annotated[float, FINE] = 10, /) -> None:
        """A part."""

    with pytest.raises(InputError, match=r"needs: size = no default: .*5 to 50 mm"):
        recipe(needs)  # type: ignore[arg-type]
    for function in (many, placed):
        with pytest.raises(InputError, match="cannot be given by name"):
            recipe(function)  # type: ignore[arg-type]


def test_a_recipe_without_docstring_or_with_an_unknown_annotation_is_refused() -> None:
    with pytest.raises(InputError, match=r"part: docstring = none: a recipe says what it makes"):
        _decorated(Annotated[float, FINE], 10, text="  ")
    with pytest.raises(InputError, match=r"part: annotation = Nowhere: is not defined"):
        _decorated("Annotated[float, Nowhere('x')]", 10)


def test_a_recipe_travels_to_another_process() -> None:
    assert pickle.loads(pickle.dumps(STRIP)) is STRIP
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        assert pool.apply(_area, (STRIP,)) == 120.0 * 40.0


def _area(part: Recipe) -> float:
    return part().flats[0].net.area
