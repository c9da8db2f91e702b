"""Rules on what is committed: the top level, paths of one machine, the README's commands, the version."""

from __future__ import annotations

import re
from pathlib import Path

from formparts import toml

TOP_LEVEL = frozenset(
    {"README.md", "DEVELOPERS.md", "pyproject.toml", "formparts", "recipes", "tests", "out", "LICENSE"}
)

_FOLDERS = ("work", "tmp", "home", "root", "Users", "mnt", "private", "var")
MACHINE_PATH = re.compile(r"(?<![\w./:])/(?:" + "|".join(_FOLDERS) + r")/\w|\b[A-Z]:\\\\?\w")
"""A path that is there on one machine only."""

_HOSTS = (
    r"pypi\.org",
    r"pythonhosted\.org",
    r"registry\.npmjs",
    r"index[-]url",
    r"conda\.anaconda",
    r"proxy\.golang",
)
REGISTRY = re.compile("|".join(_HOSTS), re.IGNORECASE)
"""A host that packages are fetched from; which one is the user's own affair."""


def top_level_faults(tracked: list[str]) -> list[str]:
    """Find names at the top level that are not in the plan; names that begin with a dot are let pass."""
    names = {path.split("/")[0] for path in tracked}
    return sorted(name for name in names if name not in TOP_LEVEL and not name.startswith("."))


def place_faults(name: str, text: str) -> list[str]:
    """Find paths of a machine and hosts of a registry in one file."""
    return [
        f"{name}:{number}: {found[0]}"
        for number, line in enumerate(text.splitlines(), start=1)
        for rule in (MACHINE_PATH, REGISTRY)
        if (found := rule.search(line))
    ]


def shell_blocks(readme: str) -> list[str]:
    """Give the fenced `sh` blocks of a README."""
    return [block.strip("\n") for block in re.findall(r"^```sh\n(.*?)^```", readme, re.MULTILINE | re.DOTALL)]


def command_faults(readme: str, ci: str) -> list[str]:
    """The first two `sh` blocks are the commands, one line each; CI runs the second, letter for letter."""
    blocks = shell_blocks(readme)[:2]
    if len(blocks) < 2:
        return [f"README.md has {len(blocks)} sh blocks, not two"]
    faults = [f"block {n} has more than one line" for n, block in enumerate(blocks, 1) if "\n" in block]
    return faults + ([] if blocks[1] and blocks[1] in ci else ["CI does not run the README's second command"])


def latest_change(developers: str) -> str:
    """Give the version of the first entry under "Changes", which ends DEVELOPERS.md."""
    headings = re.findall(r"^#+ +(.*)$", developers, re.MULTILINE)
    changes = re.split(r"^#+ +Changes\b.*$", developers, flags=re.MULTILINE)
    if len(changes) != 2 or not headings:
        return ""
    found = re.search(r"\b(\d+\.\d+\.\d+\S*)", changes[1])
    return found[1].rstrip(":,;)*") if found else ""


def version_faults(pyproject: str, version: str, developers: str) -> list[str]:
    """The version is the same in pyproject.toml, in formparts, and in the first entry of the changes."""
    packaged = toml.loads(pyproject)["project"]["version"]
    changed = latest_change(developers)
    return [
        f"{where} says {said!r}, pyproject.toml {packaged!r}"
        for where, said in (("formparts.__version__", version), ("DEVELOPERS.md", changed))
        if said != packaged
    ]


def read(path: Path) -> str:
    return path.read_text(encoding="utf-8")
