"""Number, revision, author, owner and date in a STEP file: on its product, its formation, a person, an organization."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Final

from formparts.export.step_text import Lines, plain, quoted

FIELDS: Final = ("number", "revision", "author", "owner", "date")
"""Fields of a title block that a STEP file can hold."""
_STRING: Final = r"'((?:[^']|'')*)'"
_PRODUCT: Final = rf"PRODUCT\s*\({_STRING},{_STRING},"
_FORMATION: Final = rf"PRODUCT_DEFINITION_FORMATION\w*\s*\({_STRING},(?:{_STRING}|\$),#(\d+)"
_CREATOR, _OWNER, _CREATED = "creator", "id owner", "creation date"


def stated(title: Mapping[str, str]) -> dict[str, str]:
    """Return the part of a title that a STEP file states: a date only where it is a calendar date, as 2026-11-30."""
    found = {field: title[field] for field in FIELDS if title.get(field)}
    if "date" in found and calendar_date(found["date"]) is None:
        del found["date"]
    return found


def calendar_date(text: str) -> date | None:
    """A date that is written as ISO 8601 has it, or None."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def titled(text: str, lines: Lines, title: Mapping[str, str], *, whole: bool) -> str:
    """State the contents of a title on the product that some lines are added for.

    Parameters
    ----------
    text : str
        The file as it was written; its product and formation are changed in place.
    lines : Lines
        Where entities are added.
    title : mapping of str to str
        Fields of the title block.
    whole : bool
        Whether the product is all of the file, so that its header says the same.

    Returns
    -------
    str

    Source
    ------
    Usage guide for the STEP PDM schema (from memory): a part's number is the identifier of its product, its revision
    that of its formation; roles `creator`, `creation date` and `id owner`.
    """
    said = stated(title)
    formation = _refers(text, lines.product, "PRODUCT_DEFINITION")
    product = _refers(text, formation, r"PRODUCT_DEFINITION_FORMATION\w*")
    for number, kind, field in (
        (product, "PRODUCT", "number"),
        (formation, "PRODUCT_DEFINITION_FORMATION", "revision"),
    ):
        if field in said:
            text = _identified(text, number, kind, said[field])
    _people(lines, said, formation, product)
    if whole:
        text = _signed(text, said)
    return text


def _refers(text: str, number: int, kind: str) -> int:
    """The first entity that another refers to."""
    found = re.search(
        rf"^#{number}\s*=\s*{kind}\s*\((?:{_STRING}|\$),(?:{_STRING}|\$),#(\d+)", text, re.MULTILINE
    )
    assert found is not None
    return int(found[3])


def _identified(text: str, number: int, kind: str, identifier: str) -> str:
    """The same file with another identifier of one entity."""
    form = re.compile(rf"(^#{number}\s*=\s*{kind}\w*\s*\(){_STRING}", re.MULTILINE)
    return form.sub(lambda found: f"{found[1]}'{quoted(identifier)}'", text, count=1)


def _people(lines: Lines, said: Mapping[str, str], formation: int, product: int) -> None:
    """Who made it and whose it is, and when."""
    organization = (
        lines.add(f"ORGANIZATION($,'{quoted(said.get('owner', ''))}','')")
        if {"owner", "author"} & said.keys()
        else 0
    )
    if "author" in said:
        name = quoted(said["author"])
        person = lines.add(f"PERSON('{name}','{name}',$,$,$,$)")
        both = lines.add(f"PERSON_AND_ORGANIZATION(#{person},#{organization})")
        role = lines.add(f"PERSON_AND_ORGANIZATION_ROLE('{_CREATOR}')")
        lines.add(f"APPLIED_PERSON_AND_ORGANIZATION_ASSIGNMENT(#{both},#{role},(#{formation}))")
    if "owner" in said:
        role = lines.add(f"ORGANIZATION_ROLE('{_OWNER}')")
        lines.add(f"APPLIED_ORGANIZATION_ASSIGNMENT(#{organization},#{role},(#{product}))")
    day = calendar_date(said.get("date", ""))
    if day is not None:
        when = lines.add(f"CALENDAR_DATE({day.year},{day.day},{day.month})")
        role = lines.add(f"DATE_ROLE('{_CREATED}')")
        lines.add(f"APPLIED_DATE_ASSIGNMENT(#{when},#{role},(#{formation}))")


def _signed(text: str, said: Mapping[str, str]) -> str:
    """Author and organization in the header."""
    author, owner = (quoted(said.get(field, "")) for field in ("author", "owner"))
    form = re.compile(rf"(FILE_NAME\({_STRING},\s*{_STRING},\s*)\(''\),\s*\(''\)")
    return form.sub(lambda found: f"{found[1]}('{author}'),('{owner}')", text, count=1)


def titles_in(entities: Mapping[int, str]) -> dict[int, dict[str, str]]:
    """Return the title stated for every product of a file; a number equal to the product's name is ignored."""
    found: dict[int, dict[str, str]] = {}
    whose: dict[int, int] = {}
    # Most of a file is its shape, which is not searched.
    said = {n: body for n, body in entities.items() if body.startswith(("PRODUCT", "APPLIED_"))}
    for number, body in said.items():
        if hit := re.match(_PRODUCT, body):
            own = plain(hit[1])
            found[number] = {"number": own} if own != plain(hit[2]) else {}
            whose[number] = number
    for number, body in said.items():
        hit = re.match(_FORMATION, body)
        if hit and int(hit[3]) in found:
            whose[number] = int(hit[3])
            if hit[1]:
                found[int(hit[3])]["revision"] = plain(hit[1])
    for body in said.values():
        if hit := re.match(r"APPLIED_\w*ASSIGNMENT\s*\(#(\d+),#(\d+),\(#(\d+)", body):
            product = whose.get(int(hit[3]))
            if product is not None:
                found[product] |= _assigned(entities, int(hit[1]), int(hit[2]))
    return found


def _assigned(entities: Mapping[int, str], what: int, role: int) -> dict[str, str]:
    """What an assignment says, if it is one that is known."""
    named = re.search(_STRING, entities.get(role, ""))
    body = entities.get(what, "")
    name = named[1] if named else ""
    if name == _CREATOR and (hit := re.match(r"PERSON_AND_ORGANIZATION\s*\(#(\d+)", body)):
        person = re.match(rf"PERSON\s*\({_STRING},{_STRING}", entities.get(int(hit[1]), ""))
        return {"author": plain(person[2])} if person else {}
    if name == _OWNER and (hit := re.match(rf"ORGANIZATION\s*\((?:{_STRING}|\$),{_STRING}", body)):
        return {"owner": plain(hit[2])}
    if name == _CREATED and (hit := re.match(r"CALENDAR_DATE\s*\((\d+),(\d+),(\d+)\)", body)):
        return {"date": f"{int(hit[1]):04d}-{int(hit[3]):02d}-{int(hit[2]):02d}"}
    return {}
