"""The contents of the manual: the modules with public names, in the order of a user's day, and their names."""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import Any, Final

ROOMS: Final[dict[str, str]] = {
    "formparts.shapes": "Builders",
    "formparts.outline": "Outlines",
    "formparts.recipe_functions": "Recipes",
    "formparts.parameters": "Parameters of a recipe",
    "formparts.part": "The part in hand",
    "formparts.body": "The model",
    "formparts.materials": "Materials",
    "formparts.bending": "Bend mathematics",
    "formparts.forming": "Press-brake practice",
    "formparts.closed_forms": "Volume and mass",
    "formparts.sections": "Sections of profiles",
    "formparts.blanks": "From body to blank",
    "formparts.layout": "What a blank is",
    "formparts.solids": "The solid",
    "formparts.checks": "Checks",
    "formparts.fixes": "Fixes",
    "formparts.clash": "Folded parts that meet",
    "formparts.audits": "Audit",
    "formparts.schedules": "Bend schedule",
    "formparts.planning": "Bend plan",
    "formparts.drawings": "Drawings",
    "formparts.report.calculation": "Hand calculation",
    "formparts.report.html": "Report",
    "formparts.families": "Families",
    "formparts.families.regions": "Regions",
    "formparts.comparison": "Comparing parts",
    "formparts.solving": "Solving",
    "formparts.unfolder": "Unfolding solids",
    "formparts.unfolded_files": "Unfolding files",
    "formparts.verification": "Verifying files",
    "formparts.fea": "Finite elements",
    "formparts.assembly": "Assemblies",
    "formparts.assembly_recipes": "Assembly recipes",
    "formparts.errors": "Errors",
}
"""Modules with public names, and what a page about them is called."""

PACKAGE: Final = __name__.partition(".")[0]
"""The package, as its users know it: the manual tells of it from outside, its namespace and its command."""

PICTURED: Final = ("formparts.shapes", "formparts.outline")
"""Rooms in which each name has its own page, as its pictures take space."""


@dataclass(frozen=True)
class PublicName:
    """
    A public name.

    Parameters
    ----------
    name : str
        The name.
    home : str
        The module that it is public in.
    page : str
        The page that tells of it.
    """

    name: str
    home: str
    page: str

    @property
    def thing(self) -> Any:
        """The thing itself."""
        return getattr(import_module(self.home), self.name)

    @property
    def doc(self) -> str:
        """Its docstring; that of its type says nothing of a constant."""
        thing = self.thing
        own = inspect.isclass(thing) or inspect.isroutine(thing)
        return inspect.getdoc(thing) or "" if own else ""

    @property
    def line(self) -> str:
        """Its summary line."""
        return self.doc.strip().partition("\n")[0] or f"A constant: {self.thing!r}."


def room_page(home: str) -> str:
    """The page of a room."""
    return "room-" + home.removeprefix("formparts.").replace(".", "-").replace("_", "-")


def exports(home: str) -> list[str]:
    """What a module exports; one without a list exports all that it defines without an underscore."""
    module = import_module(home)
    stated = getattr(module, "__all__", None)
    if stated is not None:
        return list(stated)
    return [name for name, thing in vars(module).items() if getattr(thing, "__module__", "") == home]


def is_told(home: str, name: str) -> bool:
    """True for classes, for functions that are explained in full, and for constants of the builders."""
    thing = getattr(import_module(home), name)
    if inspect.isroutine(thing):
        return name[0] != "_" and "\n---" in (inspect.getdoc(thing) or "")
    return (inspect.isclass(thing) and name[0] != "_") or home in PICTURED


def names_in(home: str) -> tuple[PublicName, ...]:
    """The public names of a module, as it exports them; constants of its own use (in capitals) are left out."""
    exported = sorted((name for name in exports(home) if is_told(home, name)), key=str.lower)
    page = room_page(home)
    return tuple(
        PublicName(
            name, home, name.lower() + ("-class" if name[0].isupper() else "") if home in PICTURED else page
        )
        for name in exported
    )


@cache
def all_names() -> dict[str, PublicName]:
    """Every public name, once, by name; the first room that exports it tells of it."""
    found: dict[str, PublicName] = {}
    for home in ROOMS:
        for named in names_in(home):
            found.setdefault(named.name, named)
    return found


def shown_in(home: str) -> Iterator[PublicName]:
    """Return the names on a room's page."""
    return (named for named in all_names().values() if named.home == home)


def namespace(home: str = "formparts") -> dict[str, Any]:
    """What an example may name: all of `formparts`, and all of the room that it is from."""
    front = import_module(PACKAGE)
    space = {name: getattr(front, name) for name in front.__all__}
    room = import_module(home)
    return {**space, **{name: getattr(room, name) for name in exports(home)}}
