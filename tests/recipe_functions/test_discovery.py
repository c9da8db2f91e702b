"""How recipes are found: by name, by file, by entry point; and the error when they are not."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from formparts.errors import InputError
from formparts.recipe_functions import find_recipe, loadable_recipes, recipes, recipes_in, stated_recipe

SAMPLES = Path(__file__).with_name("sample_parts.py")
ROOT = Path(__file__).parents[2]
GOOD = '''
from typing import Annotated, Any
from formparts.parameters import Length
from formparts.recipe_functions import recipe

@recipe
def my_part(size: Annotated[float, Length("across", minimum=1, maximum=9)] = 3) -> Any:
    """A part of one's own."""
'''


def _written(folder: Path, text: str, name: str = "mine.py") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_a_recipe_is_found_by_file_and_function() -> None:
    assert find_recipe(f"{SAMPLES}:cover_strip").name == "cover_strip"
    assert [recipe.name for recipe in recipes_in(SAMPLES)] == ["cover_strip", "long_tongue"]


def test_a_file_with_one_recipe_needs_no_function(tmp_path: Path) -> None:
    assert find_recipe(str(_written(tmp_path, GOOD))).name == "my_part"


def test_a_relative_path_and_a_link_lead_to_the_same_recipe(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = _written(tmp_path, GOOD)
    (tmp_path / "link.py").symlink_to(path)
    monkeypatch.chdir(tmp_path)
    one = find_recipe(f"{path}:my_part")
    assert find_recipe("mine.py:my_part") is find_recipe("./mine.py") is find_recipe("link.py") is one


def test_a_file_is_loaded_once(tmp_path: Path) -> None:
    path = _written(tmp_path, GOOD + "\nwith open(__file__ + '.log', 'a') as log:\n    log.write('x')\n")
    assert find_recipe(f"{path}:my_part") is find_recipe(str(path))
    assert Path(f"{path}.log").read_text() == "x"
    # Nothing is left beside the user's file.
    assert sorted(found.name for found in tmp_path.iterdir()) == ["mine.py", "mine.py.log"]


def test_a_file_is_loaded_again_when_it_has_changed_even_within_one_second(tmp_path: Path) -> None:
    for most in "97856":
        path = _written(tmp_path, GOOD.replace("maximum=9", f"maximum={most}"))
        assert find_recipe(str(path)).parameters[0].limits == f"1 to {most} mm"


@pytest.mark.parametrize("name", ["math.py", "json.py", "formparts.py", "errors.py", "pint.py"])
def test_a_file_shadows_no_module_whatever_it_is_called(tmp_path: Path, name: str) -> None:
    before = {key: value for key, value in sys.modules.items() if key == name.removesuffix(".py")}
    assert find_recipe(str(_written(tmp_path, GOOD, name))).name == "my_part"
    assert {key: value for key, value in sys.modules.items() if key == name.removesuffix(".py")} == before
    assert str(tmp_path) not in sys.path


def test_two_files_of_one_name_are_two_modules(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    one = find_recipe(str(_written(tmp_path / "a", GOOD)))
    two = find_recipe(str(_written(tmp_path / "b", GOOD.replace("maximum=9", "maximum=90"))))
    assert (one.parameters[0].limits, two.parameters[0].limits) == ("1 to 9 mm", "1 to 90 mm")


def test_a_recipe_imported_from_another_file_is_not_this_files_own(tmp_path: Path) -> None:
    text = f"from formparts import find_recipe\nother = find_recipe({f'{SAMPLES}:cover_strip'!r})\n{GOOD}"
    assert [recipe.name for recipe in recipes_in(_written(tmp_path, text))] == ["my_part"]


BROKEN = {
    "syntax": ("x = 1\ndef f(:\n", "line 2: the file cannot be loaded: SyntaxError: "),
    "import": (
        "import no_such_module_anywhere\n",
        "line 1: the file cannot be loaded: ModuleNotFoundError: No module",
    ),
    "division": (
        "x = 1\n\ny = x / 0\n",
        "line 3: the file cannot be loaded: ZeroDivisionError: division by zero",
    ),
    "exit": (
        "import sys\nsys.exit(3)\n",
        "line 2: the file cannot be loaded: SystemExit: 3; a recipe file must not",
    ),
    "own": (
        "class Odd(Exception): ...\nraise Odd('two\\nlines')\n",
        "line 2: the file cannot be loaded: Odd: two lines",
    ),
    "name": ("undefined\n", "line 1: the file cannot be loaded: NameError: name 'undefined' is not defined"),
    "bytes": ("x = '\\udcff'.encode()\n", "line 1: the file cannot be loaded: UnicodeEncodeError: "),
    "tab": ("if True:\n        x = 1\n\ty = 2\n", "line 3: the file cannot be loaded: TabError: "),
}


@pytest.mark.parametrize("fault", BROKEN)
def test_a_fault_in_a_users_file_is_one_line_with_file_and_line_number(tmp_path: Path, fault: str) -> None:
    text, words = BROKEN[fault]
    path = _written(tmp_path, text)
    before = set(sys.modules)
    with pytest.raises(InputError, match=re.escape(f"recipe: file = {path}, {words}")) as caught:
        find_recipe(f"{path}:my_part")
    assert "\n" not in str(caught.value)
    assert not [name for name in set(sys.modules) - before if "recipe" in name]


@pytest.mark.parametrize(
    ("wanted", "fix"),
    [
        ("slot", "write from formparts import obround"),
        ("add_joggle", "write from formparts.shapes import add_joggle"),
        ("add_flnge", "write from formparts import add_flange"),
        ("zebra", "fix that line"),
    ],
)
def test_a_name_that_is_not_there_is_told_where_it_is(tmp_path: Path, wanted: str, fix: str) -> None:
    """The trade's other word, another room, a slip of the pen, and what is like nothing."""
    path = _written(tmp_path, f"from formparts import {wanted}\n")
    with pytest.raises(InputError, match=rf"cannot import name '{wanted}' from 'formparts' .*; {fix}$"):
        find_recipe(f"{path}:my_part")


def test_a_file_that_is_not_text_is_one_line(tmp_path: Path) -> None:
    path = tmp_path / "mine.py"
    path.write_bytes(b"\x00\xff\xfe")
    with pytest.raises(InputError, match=r"recipe: file = .*mine\.py.*: the file cannot be loaded: "):
        find_recipe(str(path))


def test_a_faulty_declaration_in_a_users_file_is_said_under_the_recipes_name(tmp_path: Path) -> None:
    path = _written(tmp_path, GOOD.replace(", maximum=9", ""))
    with pytest.raises(InputError, match=r"^my_part: size = Length: its maximum is missing; write Length"):
        find_recipe(str(path))


def test_an_interrupt_while_loading_passes(tmp_path: Path) -> None:
    with pytest.raises(KeyboardInterrupt):
        find_recipe(str(_written(tmp_path, "raise KeyboardInterrupt\n")))


@pytest.mark.parametrize(
    ("reference", "words"),
    [
        (
            f"{SAMPLES}:cover_strp",
            "the file holds no such recipe; did you mean cover_strip? it holds: cover_strip, long",
        ),
        (f"{SAMPLES}:no_recipe", "this function is not a recipe; put @recipe above it"),
        (f"{SAMPLES}:", "the file holds no such recipe"),
        (str(SAMPLES), "it holds 2 recipes (cover_strip, long_tongue); name one of them: "),
        (str(SAMPLES.with_name("absent.py")), "there is no such file"),
        (f"{SAMPLES.with_name('absent.py')}:part", "there is no such file"),
        (str(SAMPLES.parent), "there is no such file"),
        ("some/folder/part", "there is no such file"),
        ("nowhere_at_all", "there is no such recipe; "),
        ("", "name = '': there is no such recipe"),
        ("a\0b.py:part", "there is no such file"),
    ],
)
def test_what_is_not_found_is_refused_with_a_way_out(reference: str, words: str) -> None:
    with pytest.raises(InputError, match=re.escape(words)) as caught:
        find_recipe(reference)
    assert str(caught.value).startswith("recipe: ")
    assert "\n" not in str(caught.value)


def test_a_file_without_recipes_or_of_another_kind_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="it holds 0 recipes; put @recipe above"):
        find_recipe(str(_written(tmp_path, "x = 1\n")))
    (tmp_path / "part.txt").write_text("x")
    with pytest.raises(InputError, match="not a Python file"):
        find_recipe(str(tmp_path / "part.txt"))
    with pytest.raises(InputError, match="find_recipe: reference = 7: is of type int; a text is wanted"):
        find_recipe(7)  # type: ignore[arg-type]


def test_every_shipped_file_gives_a_recipe_by_name_in_order() -> None:
    found = recipes()
    names = [recipe.name for recipe in found]
    files = {path.stem for path in (ROOT / "recipes").glob("*.py") if not path.name.startswith("_")}
    assert names == sorted(set(names))
    assert files <= set(names)
    assert all(find_recipe(name) is recipe for name, recipe in zip(names, found, strict=True))


def test_another_package_offers_recipes_by_entry_point(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _written(tmp_path, GOOD, "package_of_parts.py")
    info = tmp_path / "package_of_parts-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: package-of-parts\nVersion: 1.0\n")
    entries = info / "entry_points.txt"
    entries.write_text("[formparts.recipes]\nmy_part = package_of_parts:my_part\n")
    monkeypatch.syspath_prepend(str(tmp_path))
    assert find_recipe("my_part").summary == "A part of one's own."
    assert "my_part" in [recipe.name for recipe in recipes()]
    with pytest.raises(InputError, match=r"name = my_prt: there is no such recipe; did you mean my_part\?"):
        find_recipe("my_prt")
    entries.write_text("[formparts.recipes]\nmy_part = package_of_parts:recipe\n")
    with pytest.raises(
        InputError, match=r"entry point my_part: recipe = package_of_parts:recipe: this is not a recipe"
    ):
        recipes()
    entries.write_text("[formparts.recipes]\nmy_part = no_such_package_here:part\n")
    with pytest.raises(
        InputError, match=r"entry point my_part: file = .*no_such_package_here:part cannot be loaded"
    ):
        recipes()


def test_a_broken_entry_point_and_two_recipes_of_one_name_are_said_and_the_rest_works(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One package is broken, a second has a recipe of a shipped one's name and one of its own: that one is found."""
    other = GOOD.replace("def my_part", "def z_clip")
    _written(tmp_path, GOOD, "package_of_parts.py")
    _written(tmp_path, other, "package_of_clips.py")
    for name, points in (
        ("broken", "a_broken_one = no_such_package_here:part\n"),
        ("parts", "my_part = package_of_parts:my_part\n"),
        ("clips", "z_clip = package_of_clips:z_clip\n"),
    ):
        info = tmp_path / f"{name}-1.0.dist-info"
        info.mkdir()
        (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.0\n")
        (info / "entry_points.txt").write_text(f"[formparts.recipes]\n{points}")
    monkeypatch.syspath_prepend(str(tmp_path))
    assert find_recipe("my_part").summary == "A part of one's own."
    assert stated_recipe("my_part").name == "my_part"
    assert find_recipe("z_clip").source.parent.name == "recipes"
    found, faults = loadable_recipes()
    assert {"my_part", "z_clip", "ring_riser"} <= {recipe.name for recipe in found}
    said = sorted(str(fault) for fault in faults)
    assert len(said) == 2
    assert said[0].startswith("entry point a_broken_one: file = ")
    assert "two recipes have this name" in said[1]
    assert f"ask for the other by {tmp_path / 'package_of_clips.py'}:z_clip" in said[1]
    with pytest.raises(InputError, match=r"no such recipe; did you mean my_part.*entry point a_broken_one"):
        find_recipe("my_prt")


def test_a_recipe_file_runs_from_any_folder(tmp_path: Path) -> None:
    path = _written(tmp_path, GOOD)
    script = f"from formparts import find_recipe; print(find_recipe({str(path)!r}).resolved(size='0.1 in'))"
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        check=True,
        cwd=tmp_path,
        env={"PYTHONPATH": str(ROOT)},
    )
    assert done.stdout.strip() == "{'size': 2.54}"
