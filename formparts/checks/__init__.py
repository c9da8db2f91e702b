"""Checks: one rule, one file, one source; they change nothing."""

from __future__ import annotations

from formparts.body import Body
from formparts.checks.finding import Finding
from formparts.checks.folded import folded
from formparts.checks.one_sheet import one_sheet
from formparts.layout import Blank

__all__ = ["Finding", "findings", "folded", "one_sheet"]


def findings(body: Body, blank: Blank) -> tuple[Finding, ...]:
    """
    What all checks say of a part.

    Parameters
    ----------
    body : Body
        The part.
    blank : Blank
        Its blank.

    Returns
    -------
    tuple of Finding
        Of the blank first, then of the folded part.
    """
    return (*one_sheet(blank), *folded(body))
