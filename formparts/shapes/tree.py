"""Change the root flat of a body; the part and its position stay the same."""

from __future__ import annotations

from dataclasses import replace

from formparts.body import Body, bends_on, frames
from formparts.shapes.naming import checked_body


def rooted(body: Body, flat: str) -> Body:
    """Return the same part with another flat as its root.

    Parameters
    ----------
    body : Body
        Any body.
    flat : str
        Name of the flat that becomes the root.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        There is no such flat.

    Examples
    --------
    >>> angle = profile(Sheet(2, 2.5), 30, run(40, name="shelf"), up(90), run(25, name="wall"), name="angle")
    >>> root = {"angle.shelf": angle, "angle.wall": rooted(angle, "angle.wall")}
    """
    root = checked_body(body, "rooted").flat(flat)
    if root is body.flats[0]:
        return body
    order, bends, seen = [root], [], {flat}
    for here in order:  # grows during the loop
        for bend in bends_on(body, here.name):
            if bend.child not in seen:
                seen.add(bend.child)
                order.append(body.flat(bend.child))
                bends.append(bend)
    return replace(body, flats=tuple(order), bends=tuple(bends), frame=frames(body)[flat])
