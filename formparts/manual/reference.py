"""Pages of public names: docstring, table of parameters, example with its output, and pictures of the result."""

from __future__ import annotations

import inspect
import tempfile
from collections.abc import Iterator
from importlib import import_module

from formparts.manual.examples import ExampleStep, Ran, inside, is_example, run_example
from formparts.manual.pictures import pictures_of
from formparts.manual.prose import (
    docstring,
    entries,
    label,
    paragraphs,
    plain,
    section_tables,
    signature,
    words,
)
from formparts.manual.rooms import PICTURED, ROOMS, PublicName, namespace, room_page, shown_in
from formparts.manual.shell import Entry, Page, PageText
from formparts.report.html.tags import Markup, element, said

GROUP, BUILDERS, OUTLINES = "Reference", "Builders", "Outlines"


def reference_pages() -> Iterator[Page]:
    """Return a page for each name with something to show, and one for each room."""
    for home in PICTURED:
        group = ROOMS[home]
        yield Page(room_page(home), f"All {group.lower()}", group, "room", home, _entries(home))
        for named in shown_in(home):
            yield Page(named.page, named.name, group, "name", f"{home}:{named.name}", ())
    for home, title in ROOMS.items():
        if home not in PICTURED:
            yield Page(room_page(home), title, GROUP, "room", home, _entries(home))


def _entries(home: str) -> tuple[Entry, ...]:
    """The names of a room, and the parameters of its functions; they lead to where each is explained."""
    return tuple(entry for named in shown_in(home) for entry in _words_of(named))


def _words_of(named: PublicName) -> Iterator[Entry]:
    place = f"{named.page}.html#{named.name}"
    yield Entry(named.name, place, plain(named.line))
    if named.home in PICTURED and named.name[0].islower():
        for names, _, meaning in entries(docstring(named.doc).sections.get("Parameters", "")):
            for name in names.split(", "):
                yield Entry(f"{name} of {named.name}", place, plain(meaning.partition("\n")[0]))


def room(page: Page) -> PageText:
    """All names of a room: in full, or in one line where they have pages of their own."""
    home = page.about
    about = element(
        "p", words(" ".join((import_module(home).__doc__ or "").strip().partition("\n\n")[0].split()))
    )
    how = element("p", said("To use these: "), element("code", said(f"from {_imported(home)} import *")))
    head = element("h1", said(page.title)) + about + how
    if home in PICTURED:
        items = (
            element(
                "li", element("a", said(each.name), href=f"{each.page}.html"), said(": "), words(each.line)
            )
            for each in shown_in(home)
        )
        return PageText(Markup(head + element("ul", *items)))
    made = [_named(each, 2) for each in shown_in(home)]
    return PageText(
        Markup(head + "".join(one.inside for one in made)), tuple(f for one in made for f in one.faults)
    )


def _imported(home: str) -> str:
    return "formparts" if home in PICTURED else home


def name(page: Page) -> PageText:
    """One name on a page of its own."""
    home, _, word = page.about.partition(":")
    return _named(next(each for each in shown_in(home) if each.name == word), 1)


def _named(named: PublicName, level: int) -> PageText:
    """Return the documentation of a name."""
    doc = docstring(named.doc)
    parts = [element(f"h{level}", said(named.name), id=named.name)]
    if not doc.text:
        return PageText(Markup("".join([*parts, element("p", words(named.line))])))
    whose = f"the class {named.name}" if inspect.isclass(named.thing) else named.name
    parts += [signature(named.name, named.thing), paragraphs(doc.text)]
    parts += [section_tables(doc, whose), *_members(named)]
    if not is_example(doc.examples):
        return PageText(Markup("".join(parts)))
    example, faults = example_markup(doc.examples, named.name, named.home)
    return PageText(Markup("".join([*parts, element(f"h{level + 1}", said("Example")), example])), faults)


def _members(named: PublicName) -> Iterator[Markup]:
    """The public methods and properties of a class, each in one line."""
    if not inspect.isclass(named.thing) or issubclass(named.thing, Exception):
        return
    rows = []
    for name, member in vars(named.thing).items():
        doc = inspect.getdoc(member) or ""
        if name.startswith("_") or not (callable(member) or hasattr(member, "__get__")) or not doc:
            continue
        if isinstance(member, type) or "slot" in type(member).__name__ or "member" in type(member).__name__:
            continue
        shown = f"{name}()" if inspect.isfunction(member) else name
        rows.append(element("li", element("code", said(shown)), said(": "), words(doc.partition("\n")[0])))
    if rows:
        yield label(said("What it gives"))
        yield element("ul", *rows)


def example_markup(text: str, word: str, home: str) -> tuple[Markup, tuple[str, ...]]:
    """An example, what it printed, and pictures of what it made; and what went wrong in it."""
    space = namespace(home)
    fresh = dict(space)
    with tempfile.TemporaryDirectory() as folder, inside(folder):
        ran = run_example(text, space)
        shown = pictures_of(ran, word, fresh)
    return Markup(typed(ran) + shown), tuple(f"{word}: {fault}" for fault in ran.faults)


def typed(ran: Ran) -> Markup:
    """The lines of an example as they are typed, each with what it printed."""
    return element("pre", *(_step(step) for step in ran.steps), class_="example", tabindex=0)


def _step(step: ExampleStep) -> Markup:
    first, *others = step.source.rstrip("\n").split("\n")
    lines = "\n".join([f">>> {first}", *(f"... {line}" for line in others)])
    printed = element("span", said(step.got), class_="printed" if step.ok else "wrong") if step.got else ""
    return Markup(element("span", said(lines), class_="typed") + "\n" + printed)
