"""Checks: one rule, one function, one source; they change nothing."""

from __future__ import annotations

from formparts.arguments import takes
from formparts.body import Body
from formparts.checks.finding import Finding, Severity, worst_first
from formparts.checks.limits import GENERAL, Limit, LimitProfile, limit_profile, limit_profiles
from formparts.checks.rule_input import RuleInput
from formparts.checks.rules import RULES, Rule, part_findings, rule_of
from formparts.expect import Expected
from formparts.layout import Blank
from formparts.materials import Material
from formparts.planning import BendPlan

__all__ = [
    "GENERAL",
    "RULES",
    "Finding",
    "Limit",
    "LimitProfile",
    "Rule",
    "RuleInput",
    "Severity",
    "blank_findings",
    "findings",
    "limit_profile",
    "limit_profiles",
    "part_findings",
    "rule_of",
    "worst_first",
]


@takes(body="Body", blank="Blank", profile=("LimitProfile", "None"))
def findings(
    body: Body,
    blank: Blank,
    profile: LimitProfile | None = None,
    expected: tuple[Expected, ...] = (),
    plan: BendPlan | None = None,
) -> tuple[Finding, ...]:
    """Return the findings of all rules on a part.

    Parameters
    ----------
    body : Body
        The part.
    blank : Blank
        Its blank.
    profile : LimitProfile, optional
        What it is held against; `thin sheet general` when none is given.
    expected : tuple of Expected
        Figures of the drawing, beside our own.
    plan : BendPlan, optional
        Its bend plan, when it is at hand; else it is only sought whether there is an order.

    Returns
    -------
    tuple of Finding
        Errors first, then warnings, then notes.

    Examples
    --------
    >>> body = cut_opening(plate(Sheet(2, 2.5), rectangle(40, 25)), disc(8), places=[(15, 0)], name="bore")
    >>> [finding.code for finding in findings(body, Part(body).blank)]
    ['opening-near-edge']
    """
    limits = profile or limit_profile(GENERAL)
    return worst_first(
        tuple(part_findings(RuleInput(blank, body.sheet.material, limits, body, expected, plan)))
    )


@takes(blank="Blank", material=("Material", "None"), profile=("LimitProfile", "None"))
def blank_findings(
    blank: Blank, material: Material | None = None, profile: LimitProfile | None = None
) -> tuple[Finding, ...]:
    """Return the findings of the rules on a blank alone, from the unfolder, of somebody else's solid.

    Parameters
    ----------
    blank : Blank
        What is cut and where it is bent.
    material : Material, optional
        What it is made of; without it radius and force are not checked.
    profile : LimitProfile, optional
        What it is held against; `thin sheet general` when none is given.

    Returns
    -------
    tuple of Finding
        Errors first, then warnings, then notes.
    """
    return worst_first(tuple(part_findings(RuleInput(blank, material, profile or limit_profile(GENERAL)))))
