"""Pictures of the results of an example: one part from all sides with dimension names, or several side by side."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from formparts.body import Body, Sheet
from formparts.drawings.loose import LoosePicture, loose_pictures, loose_svg
from formparts.drawings.naming import Key
from formparts.manual.examples import Ran
from formparts.manual.following import figures_of, names_by_moving, remaking
from formparts.manual.prose import label
from formparts.outline import Outline
from formparts.part import Part
from formparts.report.html.tags import Markup, element, said
from formparts.shapes import plate

_THIN = Sheet(1.0, 1.0)
_COMPARED = ("section", "flat", "top", "blank")


def body_of(thing: Any) -> Body | None:
    """Return the body in a result that can be drawn, if there is one."""
    if isinstance(thing, Body):
        return thing
    if isinstance(thing, Part):
        return thing.body
    if isinstance(thing, Outline):
        return plate(_THIN, thing, name="outline")
    return None


def _side_by_side(thing: Any) -> bool:
    return (
        isinstance(thing, Mapping)
        and len(thing) > 1
        and all(body_of(each) is not None for each in thing.values())
    )


def pictures_of(ran: Ran, word: str, space: Mapping[str, Any]) -> Markup:
    """Pictures of the last part that an example made, and of everything that it put side by side."""
    single = [name for name, thing in ran.made.items() if body_of(thing) is not None]
    shown = []
    if single:
        direct = re.findall(rf"(?m)^(\w+) = {word}\(", ran.source)
        shown.append(_followed(ran, [name for name in direct if name in single] or single, word, space))
    shown += [_compared(name, thing) for name, thing in ran.made.items() if _side_by_side(thing)]
    return Markup("".join(shown))


def _followed(ran: Ran, names_made: Sequence[str], word: str, space: Mapping[str, Any]) -> Markup:
    """A part with the names of the parameters that its dimensions follow."""
    name = names_made[-1]
    figures = figures_of(ran.source, word, space, name)
    outline = isinstance(ran.made[name], Outline)

    def pick(made: dict[str, Any]) -> Body:
        found = body_of(made[name])
        assert found is not None
        return found

    make = remaking(ran.source, space, figures, pick)
    names, of_blank = (
        names_by_moving(make, {each.name: each.value for each in figures}) if figures else ({}, {})
    )
    body = pick(dict(ran.made))
    return part_pictures(body, names, of_blank, ("top",) if outline else ())


def part_pictures(
    body: Body, names: Mapping[Key, str], of_blank: Mapping[str, str], only: Sequence[str] = ()
) -> Markup:
    """All pictures of one part."""
    found = loose_pictures(body, names, Part(body).numbered_blank)
    wanted = [each for each in found if each.kind in only] if only else found
    if not body.bends and not only:
        wanted = [each for each in found if each.kind in ("isometric", "top")]
    return element("div", *(_figure(each, body, of_blank) for each in wanted), class_="pictures")


def _figure(picture: LoosePicture, body: Body, of_blank: Mapping[str, str]) -> Markup:
    words = said(picture.caption)
    if picture.kind == "blank" and of_blank:
        moved = "; ".join(f"{side} follows {names}" for side, names in of_blank.items())
        words = Markup(f"{words}; {element('span', said(moved), class_='name')}")
    svg = Markup(loose_svg(picture, f"{body.name}: {picture.caption}"))
    return element("figure", svg, element("figcaption", words))


def _compared(name: str, parts: Mapping[str, Any]) -> Markup:
    """Several parts side by side: each as a whole, and the view in which they differ most plainly."""
    bodies = {str(key): body for key, part in parts.items() if (body := body_of(part)) is not None}
    drawn = {key: {one.kind: one for one in reversed(loose_pictures(body))} for key, body in bodies.items()}
    kind = _telling(list(drawn.values()))
    cells = []
    for key, views in drawn.items():
        shown = [views[each] for each in dict.fromkeys(("isometric", kind)) if each in views]
        svgs = [Markup(loose_svg(each, f"{name} {key}: {each.caption}")) for each in shown]
        size = views["blank"].caption
        cells.append(
            element("figure", *svgs, element("figcaption", element("b", said(key)), said(f": {size}")))
        )
    heading = label(Markup(f"{element('code', said(name))} side by side"))
    return Markup(heading + element("div", *cells, class_="pictures beside"))


def _telling(drawn: Sequence[Mapping[str, LoosePicture]]) -> str:
    """Return the kind of view in which most of them differ, and among equals the best dimensioned one."""
    kinds = [kind for kind in _COMPARED if all(kind in views for views in drawn)]
    return max(kinds, key=lambda kind: len({repr(views[kind].marks) for views in drawn}))
