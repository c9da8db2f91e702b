"""The page of files: every format that a part can be written as, with the beginning of a real file."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

from formparts.manual.command_pages import file_picture
from formparts.manual.shell import Entry, Page, PageText
from formparts.part import Part
from formparts.recipe_functions import find_recipe
from formparts.report.html.tags import Markup, element, said
from formparts.writers import WRITERS, Writer

PAGE, _OF = "files", "angle_bracket"
_LINES, _WIDE = 12, 100


def files_planned() -> Iterator[Page]:
    """One page for all formats."""
    entries = tuple(Entry(ending, _anchor(each), each.text) for ending, each in WRITERS.items())
    yield Page(PAGE, "Files", "Commands", "files", "", entries)


def _anchor(writer: Writer) -> str:
    return f"file{writer.ending.replace('.', '-')}"


def files_page(page: Page) -> PageText:
    """All formats, each written for one small part."""
    part = find_recipe(_OF).part()
    head = f"Written with part.write(path) by the ending of the name, or with formparts make. Here of {_OF}."
    parts = [element("h1", said(page.title)), element("p", said(head))]
    with tempfile.TemporaryDirectory() as folder:
        for each in sorted(WRITERS.values(), key=lambda one: (one.rank, one.ending)):
            parts.append(_format(part, each, Path(folder)))
    return PageText(Markup("".join(parts)))


def _format(part: Part, writer: Writer, folder: Path) -> Markup:
    path = part.write(folder / f"{_OF}{writer.ending}")
    how = f"part.write('{path.name}')" + (f", options: {', '.join(writer.options)}" if writer.options else "")
    default = (
        "written by make" if writer.by_default else f"written by make when it is asked for ({writer.kind})"
    )
    return element(
        "section", element("h2", said(f"NAME{writer.ending}"), id=_anchor(writer)),
        element("p", said(f"{writer.text.capitalize()}. {path.stat().st_size:,} bytes here; {default}.")),
        element("p", element("code", said(how))), _beginning(path),
    )  # fmt: skip


def _beginning(path: Path) -> Markup:
    """The first lines of a text, or the picture; nothing of a file for programs alone."""
    if path.suffix in (".png", ".svg"):
        return file_picture(path)
    if path.suffix in (".html", ".glb", ".stl", ".3mf", ".pdf"):
        return Markup("")
    lines = path.read_text(encoding="utf-8", errors="replace").splitlines()[:_LINES]
    return element("pre", said("\n".join(line[:_WIDE] for line in lines)), tabindex=0)
