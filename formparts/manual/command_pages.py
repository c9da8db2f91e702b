"""A page for each subcommand: its help, and real runs with their output and files."""

from __future__ import annotations

import argparse
import base64
import contextlib
import inspect
import io
import re
import shlex
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import Any

from formparts.manual.examples import inside
from formparts.manual.rooms import PACKAGE
from formparts.manual.shell import Entry, Page, PageText
from formparts.report.html.tags import Markup, element, said

GROUP = "Commands"
_SAMPLES = Path(__file__).with_name("samples")
_MOST_PICTURES = 3


def parsers() -> dict[str, argparse.ArgumentParser]:
    """The parser of each word of the command, by the word."""
    parser = import_module(f"{PACKAGE}.cli")._parser()
    found = next(each for each in parser._actions if isinstance(each, argparse._SubParsersAction))
    return dict(found.choices)


def commands_planned() -> Iterator[Page]:
    """A page for each word."""
    for word, parser in parsers().items():
        options = [
            option for action in parser._actions for option in action.option_strings if option[:2] == "--"
        ]
        entries = (
            Entry(f"formparts {word}", "text", _line(parser)),
            *(Entry(f"{option} of {word}", "text", "") for option in options if option != "--help"),
        )
        yield Page(f"command-{word}", f"formparts {word}", GROUP, "command", word, entries)


def _line(parser: argparse.ArgumentParser) -> str:
    return (parser.description or "").partition(". ")[0]


def command_page(page: Page) -> PageText:
    """The help of a word, and its runs."""
    parser = parsers()[page.about]
    parts = [element("h1", said(page.title)), element("p", said(parser.description or ""))]
    with tempfile.TemporaryDirectory() as folder, inside(folder):
        copy_samples(Path(folder))
        runs = [run_markup(line) for line in examples_of(parser)]
    parts += [made.inside for made in runs]
    parts += [element("h2", said("All options")), element("pre", said(_help(parser)), tabindex=0)]
    return PageText(Markup("".join(parts)), tuple(fault for made in runs for fault in made.faults))


def _help(parser: argparse.ArgumentParser) -> str:
    return parser.format_help()


def examples_of(parser: argparse.ArgumentParser) -> list[str]:
    """The lines that begin with `$ formparts` in the docstring of the module, or function, that runs a word."""
    run: Any = parser.get_default("run")
    texts = [doc for doc in (inspect.getdoc(run), inspect.getdoc(inspect.getmodule(run))) if doc]
    lines = [line.strip() for doc in texts for line in doc.splitlines()]
    return [line[2:] for line in lines if line.startswith("$ formparts")]


def copy_samples(folder: Path) -> None:
    """Files that runs and guides name."""
    for each in sorted(_SAMPLES.iterdir()):
        if each.is_file():
            (folder / each.name.removesuffix(".txt")).write_bytes(each.read_bytes())


def run_markup(line: str) -> PageText:
    """A line of the command, what it printed, and pictures of what it wrote here; `# refused` says that it must be."""
    line, mark, _ = line.partition(" # refused")
    before = _files()
    code, printed = run_line(line)
    fresh = [path for path, stamp in _files().items() if before.get(path) != stamp]
    typed = element("span", said(f"$ {line}"), class_="typed")
    below = element("span", said(printed), class_="printed")
    shown = element("pre", typed, said("\n"), below, class_="example", tabindex=0)
    faults = () if (code == 2) == bool(mark) else (f"{line}: {printed.strip()}",)
    return PageText(Markup(shown + _pictures(fresh)), faults)


def run_line(line: str) -> tuple[int, str]:
    """Run a line of the command here, as a terminal would show it."""
    words = shlex.split(line)[1:]
    if words[0] == "watch":
        return _watched(words)
    main = import_module(f"{PACKAGE}.cli").main
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        try:
            code = main(words)
        except SystemExit as stopped:
            code = int(stopped.code or 0)
    return code, out.getvalue()


def _watched(words: list[str]) -> tuple[int, str]:
    """The first lines of what ends only when it is stopped; the random word of its address is not shown."""
    process = subprocess.Popen([sys.executable, "-m", "formparts", *words], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    try:
        lines = [process.stdout.readline(), process.stdout.readline()]
    finally:
        process.terminate()
        process.wait()
        process.stdout.close()
    return 0, re.sub(r"/[\w-]{20,}/", "/RANDOM-WORD/", "".join(lines))


def _files() -> dict[Path, int]:
    found = (path for path in Path().rglob("*") if path.is_file() and ".formparts" not in path.parts)
    return {path: path.stat().st_mtime_ns for path in found}


def _pictures(fresh: list[Path]) -> Markup:
    """Pictures among new files."""
    shown = [path for path in sorted(fresh) if path.suffix in (".svg", ".png")][:_MOST_PICTURES]
    figures = [
        element("figure", file_picture(path), element("figcaption", said(str(path)))) for path in shown
    ]
    return element("div", *figures, class_="pictures") if figures else Markup("")


def file_picture(path: Path) -> Markup:
    """A picture file as part of the page."""
    kind = "svg+xml" if path.suffix == ".svg" else "png"
    data = base64.b64encode(path.read_bytes()).decode()
    return Markup(
        f'<img class="paper" alt="{said(path.name)}" width="420" src="data:image/{kind};base64,{data}">'
    )
