"""What a notebook shows of a body: its 3D view and its figures, in a frame of its own."""

from __future__ import annotations

from formparts.body import Body
from formparts.report.html.page import bare, short_page
from formparts.report.html.tags import element


def notebook_view(body: Body) -> str:
    """
    Show a part in a notebook: 3D view that folds, and its figures with their units.

    Parameters
    ----------
    body : Body
        The part; no solid is built of it.

    Returns
    -------
    str
        An element of HTML; what is in it can run scripts, and can neither fetch anything nor reach the notebook.

    Raises
    ------
    InputError
        The bend rule has no figure for a bend.
    """
    return element(
        "iframe",
        srcdoc=short_page(bare(body)),
        sandbox="allow-scripts",
        title=f"Part {body.name}",
        style="width:100%;height:900px;border:0",
    )
