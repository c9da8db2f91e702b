"""Data are never run, nothing speaks to the network, and only one door runs the code of a recipe."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from tests.house.trees import nodes_of

ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "formparts").rglob("*.py"))

RUNS_CODE = {"eval", "exec", "compile", "__import__", "execfile", "input", "breakpoint"}
UNSAFE_READERS = {"pickle", "marshal", "shelve", "yaml", "dill", "cloudpickle", "code", "codeop", "ctypes"}
NETWORK = {
    "socket",
    "ssl",
    "urllib",
    "http",
    "ftplib",
    "smtplib",
    "telnetlib",
    "xmlrpc",
    "socketserver",
    "asyncio",
    "requests",
    "httpx",
    "aiohttp",
    "distributed",
    "dask",
    "webbrowser",
    "urllib3",
    "websockets",
}

CODE_DOORS = {
    "formparts/recipe_functions/discovery.py": {"compile", "exec"},
    "formparts/manual/examples.py": {"compile", "exec"},
    "formparts/manual/following.py": {"compile", "exec"},
}
"""A recipe's file is code: it is run when its user names it. The manual runs our own docstrings and guides."""
READER_DOORS = {
    # Through pipes that no other process has: the parent's order, and the answer of the process that it has started.
    "formparts/apart.py": {"pickle"},
    # What the parent writes into a folder of its own that nobody else can enter, and the child reads from there.
    "formparts/assembly/interference.py": {"pickle"},
    "formparts/assembly/interference_child.py": {"pickle"},
}
NETWORK_DOORS = {
    "formparts/watch/server.py": {"http"},
    "formparts/families/cluster.py": {"distributed"},
    "formparts/families/page.py": {"urllib"},
}
"""The page on this machine; the cluster that its user names; and `quote`, which only writes a name as a link."""


def _called(nodes: list[ast.AST]) -> set[str]:
    """Built-in functions that are called, or handed on."""
    return {node.id for node in nodes if isinstance(node, ast.Name)} & RUNS_CODE


def _imported(nodes: list[ast.AST]) -> Iterator[str]:
    for node in nodes:
        if isinstance(node, ast.Import):
            yield from (name.name.partition(".")[0] for name in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            yield node.module.partition(".")[0]


def _shell(nodes: list[ast.AST]) -> bool:
    """`os.system`, `os.popen`, or a command line that a shell reads."""
    for node in nodes:
        if isinstance(node, ast.Attribute) and node.attr in ("system", "popen", "getoutput"):
            return True
        if isinstance(node, ast.keyword) and node.arg == "shell":
            return True
    return False


@cache
def _sources() -> list[tuple[Path, list[ast.AST]]]:
    """Every file with what a rule may look at: names, attributes, imports and named arguments."""
    return [(path, _nodes(path.read_text(encoding="utf-8"))) for path in FILES]


def _nodes(text: str) -> list[ast.AST]:
    looked_at = (ast.Name, ast.Attribute, ast.Import, ast.ImportFrom, ast.keyword)
    return [node for node in nodes_of(text) if isinstance(node, looked_at)]


def _doors(wanted: str) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for path, nodes in _sources():
        names = {
            "code": _called(nodes),
            "readers": set(_imported(nodes)) & UNSAFE_READERS,
            "network": set(_imported(nodes)) & NETWORK,
        }[wanted]
        if names:
            found[path.relative_to(ROOT).as_posix()] = names
    return found


def test_one_door_runs_code() -> None:
    """Tables, limits, materials and parts of others are data: there is no eval or exec but for recipes' files."""
    assert _doors("code") == CODE_DOORS


def test_no_reader_that_runs_what_it_reads() -> None:
    assert _doors("readers") == READER_DOORS


def test_who_may_speak_to_the_network() -> None:
    assert _doors("network") == NETWORK_DOORS


def test_no_shell_reads_a_command() -> None:
    assert [str(path) for path, nodes in _sources() if _shell(nodes)] == []


def test_the_rules_see_what_they_forbid() -> None:
    """Planted faults of each kind are found."""
    nodes = _nodes(
        "import pickle, os\nfrom urllib.request import urlopen\neval('1')\nos.system('x')\nrun('x', shell=True)"
    )
    assert _called(nodes) == {"eval"}
    assert {*_imported(nodes)} & UNSAFE_READERS == {"pickle"}
    assert {*_imported(nodes)} & NETWORK == {"urllib"}
    assert _shell(nodes)


def test_the_readme_says_that_recipes_are_code() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert "A recipe file is code and runs as such: use only files that you trust." in text


NO_SOCKETS = """
import os, sys
def forbidden(event, given):
    if event.startswith("socket."):
        with open(os.path.join(os.path.dirname(__file__), "seen"), "a") as seen:
            seen.write(f"{sys.orig_argv} {event} {given!r}\\n")
        os._exit(99)
sys.addaudithook(forbidden)
"""
"""Python runs this before anything else, in every process that is started, those of our own children too."""

JOBS = """
import sys
from formparts.cli import main
out, part = sys.argv[1], f"{sys.argv[1]}/z_clip.step"
jobs = (
    ["list"], ["describe", "z_clip"], ["make", "z_clip", "--report", "--mesh", "glb"], ["verify", part],
    ["unfold", part], ["check", part], ["draw", "z_clip"], ["assemble", "riser_stack"],
    ["family", "z_clip", "--grid", "rise=20", "--figures-only"],
    ["region", "z_clip", "--grid", "rise=20,25", "foot=30,40"],
    ["solve", "z_clip", "--vary", "rise=20..30", "--target", "blank_length=5000"],
    ["compare", f"{out}/z_clip.json", f"{out}/z_clip.json"],
)
for job in jobs:
    quiet = job[0] in ("list", "describe", "verify", "compare")
    code = main([*job] if quiet else [*job, "--out", out])
    assert code == (1 if job[0] == "solve" else 0), (job, code)
"""


def guarded(folder: Path, script: str, *words: str) -> subprocess.CompletedProcess[str]:
    """Run a script; any event of Python's own socket module, in it or in a child, ends that with 99 and is noted."""
    (folder / "sitecustomize.py").write_text(NO_SOCKETS, encoding="utf-8")
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join((str(folder), str(ROOT)))}
    command = [sys.executable, "-c", script, *words]
    return subprocess.run(command, env=environment, capture_output=True, text=True, check=False)


@pytest.mark.slow
def test_no_command_opens_a_socket_and_no_page_names_an_address(tmp_path: Path) -> None:
    """Every command but `watch`, its child processes too; pages and pictures fetch nothing from elsewhere."""
    done = guarded(tmp_path, JOBS, str(tmp_path / "out"))
    assert (done.returncode, done.stderr) == (0, "")
    assert not (tmp_path / "seen").exists()
    pages = [path for path in (tmp_path / "out").rglob("*") if path.suffix in (".html", ".svg")]
    assert len(pages) > 5
    for page in pages:
        text = page.read_text(encoding="utf-8")
        assert not re.search(
            r"""(?:src|href|action)\s*=\s*["']?(?:https?:)?//|url\(\s*["']?(?!#|data:)|@import""", text
        )
        # Names of XML's own languages are the only addresses; nothing is fetched from them.
        assert set(re.findall(r"https?://[^\"'\s<)]+", text)) <= {"http://www.w3.org/2000/svg"}


def test_the_guard_sees_sockets_of_children_too(tmp_path: Path) -> None:
    probe = "import socket; socket.socket()"
    assert guarded(tmp_path, probe).returncode == 99
    child = f"import subprocess, sys; sys.exit(subprocess.call([sys.executable, '-c', {probe!r}]))"
    assert guarded(tmp_path, child).returncode == 99
    assert len((tmp_path / "seen").read_text().splitlines()) == 2
