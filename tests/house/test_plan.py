"""The plan of floors holds for the real tree, and each of its rules finds a fault that is planted for it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.house import plan
from tests.house.imports import (
    heavy_faults,
    imports_of,
    meeting_faults,
    plan_faults,
    recipe_faults,
    referee_faults,
)

ROOT = Path(__file__).parents[2]
RULES = (plan_faults, heavy_faults, referee_faults, meeting_faults)

SOUND = {
    "__init__.py": "if TYPE_CHECKING:\n    from formparts.body import Body\n",
    "errors.py": "",
    "tolerances.py": "from formparts.errors import InputError\n",
    "outline/__init__.py": "from .edges import Line\n",
    "outline/edges.py": "Line = 1\n",
    "outline/regions.py": "from .edges import Line\nfrom ..errors import InputError\n",
    "materials.py": "from formparts.quantities import length\n",
    "quantities.py": "def length():\n    import pint\n",
    "body.py": "if TYPE_CHECKING:\n    import OCP\n    from formparts import cli\n",
    "blanks.py": "from formparts import body, tolerances\nfrom formparts.outline.edges import Line\n",
    "layout.py": "import numpy\n",
    "unfolder/__init__.py": "from .walk import step\n",
    "unfolder/walk.py": "from formparts.layout import Blank\nfrom formparts.outline.edges import Line\n",
    "audits.py": "def table():\n    from formparts import blanks, unfolder\n",
    "cli.py": "from formparts import __version__, blanks, unfolder, recipe_functions\n",
    "recipe_functions.py": "from formparts.audits import table\n",
}

LATE_CLI = "from formparts.cli import main\n"
UPWARD = {
    "outline/edges.py": [
        "from formparts.body import Body\n",
        "import formparts.body\n",
        "from ..body import Body\n",
        "from formparts import body\n",
    ],
    "errors.py": [
        f"def late():\n    {LATE_CLI}",
        f"class Late:\n    if True:\n        {LATE_CLI}",
        f"if not TYPE_CHECKING:\n    pass\nelse:\n    {LATE_CLI}",
        "from importlib import import_module\nimport_module('formparts.cli')\n",
    ],
}
SHARED = {
    "imports body": "from formparts.body import Body\n",
    "imports outline": "from formparts.outline import unite\n",
    "imports outline.overlay": "def late():\n    from ..outline.overlay import unite\n",
    "imports formparts": "from formparts import bend_rule\n",
}
BOTH_METHODS = "from formparts import blanks\nfrom formparts.unfolder import walk\n"

PLANTED: list[tuple[Callable[[Path], list[str]], dict[str, str], str]] = [
    (plan_faults, {"cellar.py": ""}, "cellar: not in the plan"),
    (plan_faults, {"attic/__init__.py": ""}, "attic: not in the plan"),
    *[(plan_faults, {file: text}, "upward") for file, texts in UPWARD.items() for text in texts],
    (
        plan_faults,
        {"blanks.py": "from formparts.solids import solid\n", "solids.py": ""},
        "siblings of floor 4",
    ),
    (plan_faults, {"errors.py": "from formparts.tolerances import LENGTH\n"}, "in a circle"),
    (
        plan_faults,
        {"outline/edges.py": "def late():\n    from formparts.outline.regions import a\n"},
        "outline.edges: in a circle",
    ),
    (plan_faults, {"body.py": "from formparts import Sheet\n"}, "front door"),
    (plan_faults, {"body.py": "import formparts\n"}, "front door"),
    *[(heavy_faults, {"blanks.py": f"import {name}\n"}, f"{name} at the top") for name in sorted(plan.HEAVY)],
    (heavy_faults, {"__init__.py": "from OCP.gp import gp_Pnt\n"}, "OCP.gp at the top"),
    (heavy_faults, {"blanks.py": "class Late:\n    import ezdxf\n"}, "ezdxf at the top"),
    (
        heavy_faults,
        {"blanks.py": "try:\n    import ezdxf\nexcept ImportError:\n    pass\n"},
        "ezdxf at the top",
    ),
    *[
        (referee_faults, {"unfolder/walk.py": text, "outline/overlay.py": ""}, said)
        for said, text in SHARED.items()
    ],
    (meeting_faults, {"clash.py": BOTH_METHODS}, "clash: blank and unfold meet"),
]


def build(folder: Path, files: dict[str, str]) -> Path:
    """Write a small package."""
    for name, text in files.items():
        path = folder / "formparts" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder / "formparts"


@pytest.mark.parametrize("rule", RULES)
def test_the_real_tree_keeps_to_the_plan(rule: Callable[[Path], list[str]]) -> None:
    """Nothing is imported upward, sideways, in a circle, heavily, or of what its referee must not share."""
    assert rule(ROOT / "formparts") == []


def test_recipes_show_only_the_public_namespace() -> None:
    """A recipe imports formparts and nothing behind it."""
    assert recipe_faults(ROOT / "recipes") == []


def test_the_real_tree_is_read() -> None:
    """The rules look at something: many imports, in rooms of every floor that is built."""
    imports = imports_of(ROOT / "formparts")
    assert len(imports) > 100
    assert {"bending", "outline", "body"} <= {item.room for item in imports}
    assert {"errors", "tolerances", "outline.edges"} <= {item.target for item in imports}
    assert any(item.place == "function" and item.module.startswith("OCP") for item in imports)


@pytest.mark.parametrize("rule", RULES)
def test_a_sound_house_has_no_faults(rule: Callable[[Path], list[str]], tmp_path: Path) -> None:
    """What is allowed is let pass: lower floors, own room, late heavy imports, type checking."""
    assert rule(build(tmp_path, SOUND)) == []


@pytest.mark.parametrize(("rule", "changes", "said"), PLANTED)
def test_a_planted_fault_is_found(
    rule: Callable[[Path], list[str]], changes: dict[str, str], said: str, tmp_path: Path
) -> None:
    """Each rule can fail: one fault is planted, and is found and named."""
    faults = rule(build(tmp_path, SOUND | changes))
    assert any(said in fault for fault in faults), faults


@pytest.mark.parametrize(
    "text",
    [
        "from formparts.body import Body\n",
        "import numpy\n",
        "import formparts.body\n",
        "def late():\n    import cadquery\n",
        "from .other import part\n",
    ],
)
def test_a_fault_planted_in_a_recipe_is_found(text: str, tmp_path: Path) -> None:
    """A recipe that looks behind the public namespace is found; one that does not, is not."""
    (tmp_path / "sound.py").write_text("import math\nimport formparts as fp\nfrom formparts import plate\n")
    assert recipe_faults(tmp_path) == []
    (tmp_path / "faulty.py").write_text(text)
    assert len(recipe_faults(tmp_path)) == 1
