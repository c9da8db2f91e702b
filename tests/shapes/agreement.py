"""What every body of a builder must hold: closed form, solid, blank and unfolder agree."""

from __future__ import annotations

import pytest
from OCP.BRepCheck import BRepCheck_Analyzer

from formparts.blanks import blank
from formparts.body import Body
from formparts.closed_forms import properties
from formparts.kernel import measured
from formparts.solids import solid
from tests.invariants.test_places import kernel_box
from tests.invariants.test_unfold_agrees import check_bends, check_outlines, unfolded


def assert_all_methods_agree(body: Body) -> None:
    """Closed form against the kernel's integrals and box; the model's blank against that of the unfolder."""
    made, flat, figures = solid(body), blank(body), properties(body)
    held = measured(made.shape)
    assert BRepCheck_Analyzer(made.shape).IsValid()
    assert held.volume == pytest.approx(figures.volume, rel=1e-9)
    assert held.surface == pytest.approx(figures.surface, rel=1e-9)
    assert held.centroid == pytest.approx(figures.centroid, abs=1e-6)
    assert (*figures.lowest, *figures.highest) == pytest.approx(kernel_box(made), abs=1e-6)
    found = unfolded(body, made).blank
    check_outlines(flat, found)
    check_bends(flat, found)
