"""Rules on random bodies: they always come to an end, with figures, and the same from the blank alone."""

from __future__ import annotations

import math

from hypothesis import HealthCheck, given, settings

from formparts import Body, mirror
from formparts.blanks import blank
from formparts.checks import blank_findings, findings
from tests.strategies import bodies


@settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(bodies(6))
def test_rules_need_no_body_but_for_the_fold(body: Body) -> None:
    """All figures are finite, errors come first, and a blank alone has all findings but those of the model."""
    flat = blank(body)
    found = findings(body, flat)
    assert all(math.isfinite(figure) for item in found for figure in (item.measured, item.limit))
    ranks = [("error", "warning", "note").index(item.severity) for item in found]
    assert ranks == sorted(ranks)
    of_blank = [item.code for item in blank_findings(flat, body.sheet.material)]
    assert sorted(of_blank) == sorted(
        item.code for item in found if not item.code.startswith(("self-", "no-bend", "merged-"))
    )


@settings(max_examples=20, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(bodies(6))
def test_a_mirror_image_has_the_same_findings(body: Body) -> None:
    """Left and right make no difference to cutter and press."""

    def figures(one: Body) -> list[tuple[str, float]]:
        return sorted((item.code, round(item.measured, 4)) for item in findings(one, blank(one)))

    assert figures(body) == figures(mirror(body, "yz", name=body.name))
