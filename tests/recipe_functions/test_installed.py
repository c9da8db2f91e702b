"""Once installed, the shipped recipes are inside the package, and are found from any folder."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

from formparts import toml

ROOT = Path(__file__).parents[2]


def test_recipes_are_found_where_the_wheel_puts_them(tmp_path: Path) -> None:
    """The wheel's layout, laid by hand as the project file says: list and describe work from another folder."""
    project = toml.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    wheel = project["tool"]["hatch"]["build"]["targets"]["wheel"]
    site = tmp_path / "site"
    junk = shutil.ignore_patterns("__pycache__")
    for package in wheel["packages"]:
        shutil.copytree(ROOT / package, site / package, ignore=junk)
    for source, place in wheel["force-include"].items():
        shutil.copytree(ROOT / source, site / place, ignore=junk)
    (tmp_path / "elsewhere").mkdir()
    for arguments, said in ((["list"], "ring_riser"), (["describe", "z_clip"], "bend_angle")):
        ran = subprocess.run(
            [sys.executable, "-m", "formparts", *arguments],
            cwd=tmp_path / "elsewhere",
            env={"PYTHONPATH": str(site), "PATH": ""},
            capture_output=True,
            text=True,
            check=True,
        )
        assert said in ran.stdout
