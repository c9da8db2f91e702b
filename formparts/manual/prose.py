"""Docstrings and guides as markup: paragraphs, lists, tables of parameters, words in backquotes with their links."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from formparts.manual.rooms import all_names
from formparts.report.html.tags import Markup, element, said, table

SECTIONS = ("Parameters", "Returns", "Yields", "Raises", "Source", "Examples", "Attributes", "Notes")
_MARKS = re.compile(r"`([^`]+)`|\[([^\]\n]+)\]\(([\w#.-]+)\)")


@dataclass(frozen=True)
class Docstring:
    """A docstring in its sections."""

    text: str
    sections: dict[str, str]

    @property
    def examples(self) -> str:
        """The lines that can be run."""
        return self.sections.get("Examples", "")


def docstring(doc: str) -> Docstring:
    """Cut a docstring into the text at its head and its sections."""
    sections: dict[str, list[str]] = {"": []}
    here, lines = "", doc.splitlines()
    for line, below in zip(lines, [*lines[1:], ""], strict=False):
        if line in SECTIONS and re.fullmatch("-+", below):
            here = line
            sections[here] = []
        elif not (here and not sections[here] and re.fullmatch("-+", line)):
            sections[here].append(line)
    texts = {name: "\n".join(found).strip("\n") for name, found in sections.items()}
    return Docstring(texts.pop(""), texts)


def words(text: str) -> Markup:
    """A text with `code`, public names among it as links, and [links](page)."""
    parts, end = [], 0
    for found in _MARKS.finditer(text):
        parts += [said(text[end : found.start()]), _marked(found)]
        end = found.end()
    return Markup("".join([*parts, said(text[end:])]))


def plain(text: str) -> str:
    """A text without its marks, for a list of words."""
    return _MARKS.sub(lambda found: found[1] or found[2], text)


def _marked(found: re.Match[str]) -> Markup:
    code, label, place = found.groups()
    if code is None:
        return element("a", said(label), href=page_link(place))
    return name_link(code)


def page_link(place: str) -> str:
    """The file of a page, and a place in it."""
    page, hash_, anchor = place.partition("#")
    return f"{page}.html{hash_}{anchor}" if page else f"#{anchor}"


def name_link(code: str) -> Markup:
    """Return code; for a public name a link to its place in the manual."""
    named = all_names().get(code.partition("(")[0])
    shown = element("code", said(code))
    return shown if named is None else element("a", shown, href=f"{named.page}.html#{named.name}")


def paragraphs(text: str) -> Markup:
    """Paragraphs; lines that begin with a dash are a list, indented blocks stay as they are."""
    return Markup("".join(_block(block) for block in re.split(r"\n\s*\n", text) if block.strip()))


def _block(block: str) -> Markup:
    lines = block.splitlines()
    if all(line.startswith("    ") for line in lines if line.strip()):
        return element("pre", said("\n".join(line[4:] for line in lines)), tabindex=0)
    if lines[0].startswith("- "):
        items = re.split(r"(?m)^- ", block)[1:]
        return element("ul", *(element("li", words(" ".join(item.split()))) for item in items))
    return element("p", words(" ".join(block.split())))


def entries(text: str) -> Iterator[tuple[str, str, str]]:
    """Name, type and meaning of each entry of a section."""
    name, kind, meaning = "", "", list[str]()
    for line in [*text.splitlines(), "end"]:
        if line and not line.startswith(" "):
            if name:
                yield name, kind, "\n".join(meaning).strip()
            name, _, kind = line.partition(" : ")
            meaning = []
        else:
            meaning.append(line.strip())


def label(words: Markup) -> Markup:
    """Return the line above a few lines: not a heading, so that those of the page keep their order."""
    return element("p", element("b", words), class_="label")


def section_tables(doc: Docstring, of: str) -> Markup:
    """Return parameters, results, errors and source."""
    return Markup(
        "".join(_section(name, text, of) for name, text in doc.sections.items() if name != "Examples")
    )


def _section(name: str, text: str, of: str) -> Markup:
    if name in ("Parameters", "Attributes"):
        rows = [
            [element("code", said(n)), words(kind), words(" ".join(meaning.split()))]
            for n, kind, meaning in entries(text)
        ]
        return table(f"{name} of {of}", ("name", "type and unit", "meaning"), rows) if rows else Markup("")
    if name in ("Raises", "Returns", "Yields"):
        shown = [
            element("p", name_link(n) if n.isidentifier() else words(n), words(f": {kind}" if kind else ""),
                    said(". " if meaning else ""), words(" ".join(meaning.split())))
            for n, kind, meaning in entries(text)
        ]  # fmt: skip
        return Markup(label(said(name)) + "".join(shown))
    return Markup(label(said(name)) + paragraphs(text))


def signature(name: str, thing: Any) -> Markup:
    """Return the call without types, which the table below has."""
    try:
        found = inspect.signature(thing)
    except (TypeError, ValueError):
        return Markup("")
    plain = [each.replace(annotation=inspect.Parameter.empty) for each in found.parameters.values()]
    kept = [each for each in plain if not each.name.startswith("_")]
    text = str(found.replace(parameters=kept, return_annotation=inspect.Signature.empty))
    return element("pre", said(f"{name}{text}"), class_="signature", tabindex=0)
