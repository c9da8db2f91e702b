"""The frame of every page: head, navigation, search, foot. It works from a folder, without a network."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from pathlib import Path

from formparts.report.html.shell import asset, document, shared_style
from formparts.report.html.tags import Markup, element, said

_ASSETS = Path(__file__).with_name("assets")
_POLICY = "connect-src 'none'; object-src 'none'; base-uri 'none'; form-action 'none'"
"""Pages fetch nothing by script. Files beside them are loaded: from a folder, browsers disagree on what `self` is."""
_LINKS = (
    '<link rel="stylesheet" href="manual.css">',
    '<script src="words.js" defer></script><script src="manual.js" defer></script>',
)


@dataclass(frozen=True)
class Entry:
    """A word that the search finds, where it is, and what it is."""

    word: str
    anchor: str
    line: str


@dataclass(frozen=True)
class Page:
    """
    A page of the manual as it is planned.

    Parameters
    ----------
    name : str
        Of its file, without its ending.
    title : str
        Its heading.
    group : str
        Under which it is listed.
    kind : str
        Which builder makes it.
    about : str
        What that builder makes it of.
    entries : tuple of Entry
        Words that lead to it.
    """

    name: str
    title: str
    group: str
    kind: str
    about: str = ""
    entries: tuple[Entry, ...] = ()


@dataclass(frozen=True)
class PageText:
    """What is on a page, and what went wrong in its examples."""

    inside: Markup
    faults: tuple[str, ...] = field(default=())


def shared_files() -> dict[str, str]:
    """The files that the pages share, but for the words of the search."""
    return {
        "manual.css": shared_style() + asset("manual.css", _ASSETS),
        "manual.js": asset("manual.js", _ASSETS),
    }


def whole_page(page: Page, inside: str, pages: Sequence[Page]) -> str:
    """The file of a page."""
    skip = element("a", said("To the text"), href="#text", class_="skip")
    body = (skip, _top(), _way_about(page, pages), element("main", inside, id="text", tabindex=-1))
    return document(f"{page.title}: formparts manual", body, _LINKS, _POLICY)


def _top() -> Markup:
    search = (
        '<label for="search">Search</label><input id="search" type="search" autocomplete="off" '
        'aria-controls="found" placeholder="flange, edge_to, hem…">'
    )
    home = element("a", said("formparts manual"), href="index.html", class_="home")
    found = element("div", id="found", role="status")
    return element("header", home, element("form", search, role="search"), found)


def _way_about(here: Page, pages: Iterable[Page]) -> Markup:
    """Return the navigation: all pages by their groups; the group of this page is open."""
    groups = []
    for group, members in groupby(pages, key=lambda page: page.group):
        listed = list(members)
        links = [
            element(
                "li",
                element(
                    "a",
                    said(page.title),
                    href=f"{page.name}.html",
                    aria_current="page" if page == here else None,
                ),
            )
            for page in listed
        ]
        inside = (element("summary", said(group)), element("ul", *links))
        groups.append(element("details", *inside, open=here in listed))
    return element("nav", *groups, aria_label="Pages")
