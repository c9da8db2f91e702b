"""Guides: pages of text whose lines of Python and of the command are run, in one folder, from the top to the end."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from formparts import toml
from formparts.manual.command_pages import copy_samples, run_markup
from formparts.manual.examples import Ran, inside, run_example
from formparts.manual.pictures import body_of, pictures_of
from formparts.manual.prose import paragraphs, plain, words
from formparts.manual.reference import typed
from formparts.manual.rooms import namespace
from formparts.manual.shell import Entry, Page, PageText
from formparts.part import Part
from formparts.report.html.tags import Markup, element, said

GROUP = "Guides"
_FOLDER = Path(__file__).with_name("guides")
GUIDES: Final = {
    "first-recipe": "Your first recipe",
    "from-a-drawing": "From a drawing to a part",
    "families": "Families",
    "foreign-step": "From a foreign STEP",
    "press-brake": "To the press brake",
    "fea": "To FEA",
}
"""Guides in the order in which a new user reads them."""


def guide_planned() -> Iterator[Page]:
    """The first page, the guides, and the words."""
    yield Page("index", "Start here", GROUP, "start")
    for name, title in GUIDES.items():
        found = re.findall(r"(?m)^## (.+)$", guide_text(name))
        entries = tuple(Entry(heading, anchor_of(heading), title) for heading in found)
        yield Page(f"guide-{name}", title, GROUP, "guide", name, entries)
    entries = tuple(
        Entry(word, anchor_of(word), plain(meaning)) for word, meaning in glossary_words().items()
    )
    yield Page("words", "Words", GROUP, "words", "", entries)


def guide_text(name: str) -> str:
    """The text of a guide."""
    return (_FOLDER / f"{name}.txt").read_text(encoding="utf-8")


def glossary_words() -> dict[str, str]:
    """The trade's words, each with its meaning."""
    found: dict[str, str] = toml.loads((_FOLDER / "words.toml").read_text(encoding="utf-8"))
    return found


def anchor_of(heading: str) -> str:
    """Return the anchor of a heading."""
    return re.sub(r"[^a-z0-9]+", "-", heading.lower()).strip("-")


def start(page: Page) -> PageText:
    """The first page."""
    return _written(page.title, guide_text("index"))


def guide(page: Page) -> PageText:
    """One guide."""
    return _written(page.title, guide_text(page.about))


def glossary(page: Page) -> PageText:
    """The words, by the alphabet."""
    found = sorted(glossary_words().items(), key=lambda item: item[0].lower())
    items = [
        Markup(element("dt", said(word), id=anchor_of(word)) + element("dd", words(meaning)))
        for word, meaning in found
    ]
    return PageText(Markup(element("h1", said(page.title)) + element("dl", *items)))


def _written(title: str, text: str) -> PageText:
    """Return a text with its code run."""
    parts, faults = [element("h1", said(title))], list[str]()
    space = namespace()
    with tempfile.TemporaryDirectory() as folder, inside(folder):
        copy_samples(Path(folder))
        said_so_far = ""
        for kind, block in blocks(text):
            made = _block(kind, block, space, said_so_far)
            said_so_far += f"{block}\n" if kind == "python" else ""
            parts.append(made.inside)
            faults += made.faults
    return PageText(Markup("".join(parts)), tuple(faults))


def blocks(text: str) -> Iterator[tuple[str, str]]:
    """Split a text into parts with their kind: heading, file, python, command or prose."""
    for block in re.split(r"\n(?:[ \t]*\n)+(?![ \n])", text.strip("\n")):
        first = block.partition("\n")[0]
        starts = {"## ": "heading", "file ": "file", ">>> ": "python", "$ ": "command"}
        yield next((kind for start, kind in starts.items() if first.startswith(start)), "prose"), block


def _block(kind: str, block: str, space: dict[str, Any], before: str) -> PageText:
    if kind == "heading":
        return PageText(element("h2", said(block[3:]), id=anchor_of(block[3:])))
    if kind == "file":
        return PageText(_file(block))
    if kind == "command":
        made = [run_markup(line[2:]) for line in block.splitlines()]
        return PageText(
            Markup("".join(one.inside for one in made)), tuple(f for one in made for f in one.faults)
        )
    if kind == "python":
        ran = run_example(block, space)
        return PageText(Markup(typed(ran) + _shown(ran, before)), tuple(ran.faults))
    return PageText(paragraphs(block))


def _file(block: str) -> Markup:
    """A file that is written into the folder, and shown."""
    first, _, rest = block.partition("\n")
    name = first.removeprefix("file ").strip()
    text = "\n".join(line[4:] for line in rest.splitlines()) + "\n"
    Path(name).write_text(text, encoding="utf-8")
    caption = element("p", said("Save this as "), element("code", said(name)), said(":"))
    return Markup(caption + element("pre", said(text), tabindex=0))


def _shown(ran: Ran, before: str) -> Markup:
    """Pictures of the part that the last line made, named by the figures of that line."""
    if not any(body_of(thing) is not None and not isinstance(thing, Part) for thing in ran.made.values()):
        return Markup("")
    again = run_example(before, namespace()) if before else Ran(())
    whole = Ran((*again.steps, *ran.steps), ran.made)
    found = re.search(r"=\s*(\w+)\(", ran.steps[-1].source)
    return pictures_of(whole, found[1] if found else "", namespace())
