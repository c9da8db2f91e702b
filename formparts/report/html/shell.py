"""The frame of every page: one head and one set of styles, embedded scripts, and the security policy."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from formparts.report.html.tags import Markup, element, said

_ASSETS = Path(__file__).with_name("assets")
ALONE = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:"
"""Policy of a page that may run its embedded scripts, and load nothing."""
SHARED_STYLES = ("base.css", "tables.css", "blank.css", "drawn.css")
"""Styles of every page, before its own."""
VIEW_SCRIPTS = ("fold.js", "lying.js", "view.js", "page.js")
"""The 3D view that folds."""


def asset(name: str, folder: Path = _ASSETS) -> str:
    """Return a style or script that pages share, or one of a room's own folder."""
    return (folder / name).read_text(encoding="utf-8")


def shared_style() -> str:
    """Colours, tables and the drawn blank, for a style sheet."""
    return "".join(asset(name) for name in SHARED_STYLES)


def document(title: str, body: Iterable[str], links: Iterable[str], policy: str = "") -> str:
    """Return a whole file: the common head, what is linked or embedded, and the body."""
    allowed = [f'<meta http-equiv="Content-Security-Policy" content="{policy}">'] if policy else []
    head = element(
        "head",
        '<meta charset="utf-8">',
        *allowed,
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        '<meta name="color-scheme" content="light dark">',
        element("title", said(title)),
        *links,
    )
    return f"<!DOCTYPE html>\n{element('html', head, element('body', *body), lang='en')}\n"


def style(*own: str) -> Markup:
    """Return the shared styles and a page's own, embedded."""
    return element("style", shared_style(), *own)


def script(*parts: str) -> Markup:
    """Return scripts to embed in a page; no text in them can end the element."""
    return element("script", "\n".join(parts).replace("</", "<\\/"))
