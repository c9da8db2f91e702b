"""All that must hold of one body (DESIGN 5), each thing made once: for random bodies, in CI and in the long run."""

from __future__ import annotations

import math
import os
from datetime import datetime
from pathlib import Path
from typing import TypeAlias

import pytest
from OCP.BRepCheck import BRepCheck_Analyzer

from formparts.audits import AuditRow, ReadBack, audit, chord_bound
from formparts.blanks import blank
from formparts.body import Body
from formparts.closed_forms import Properties, properties
from formparts.export import (
    mesh,
    mesh_volumes,
    proved_step,
    write_blank_dxf,
    write_blank_svg,
    write_json,
    write_step,
)
from formparts.export.step import PLAIN_STEEL, kernel_bytes, step_bytes
from formparts.kernel import measured
from formparts.layout import Blank
from formparts.outline import Motion, Outline, alike
from formparts.part import Part
from formparts.planning import plan_bends
from formparts.records import record
from formparts.schedules import schedule
from formparts.shapes import X_AXIS, array_about, mirror
from formparts.solids import Solid, solid
from formparts.tolerances import LENGTH, VOLUME_REL
from tests.invariants.test_blank_union import assert_union, faceted, laid_together, pieces_of
from tests.invariants.test_census import assert_census
from tests.invariants.test_places import kernel_box, scaled
from tests.invariants.test_unfold_agrees import (
    check_bends,
    check_outlines,
    check_overlaps,
    furthest,
    unfolded,
)
from tests.invariants.test_volume import volume_from_blank

Methods: TypeAlias = tuple[Solid, Blank, Properties]


def methods(body: Body) -> Methods:
    """Solid, blank and closed form of a body; refused as InputError when it cannot be made."""
    return solid(body), blank(body), properties(body)


def assert_all_holds(body: Body, made_of: Methods, folder: Path | None = None) -> None:
    """Every invariant, and a schedule; files and meshes only when there is a folder for them."""
    made, flat, figures = made_of
    before = repr(body)
    _one_volume(body, made, flat, figures)
    _one_closed_solid(body, made, flat)
    _one_blank(body, made, flat)
    _moved_and_scaled(body, flat, figures)
    _bent_in_an_order(body, flat)
    if folder is not None:
        _files_read_back(body, made_of, folder)
        _mesh_converges(body, flat, figures)
    assert repr(body) == before


def _one_volume(body: Body, made: Solid, flat: Blank, figures: Properties) -> None:
    """DESIGN 5.1 and 5.2, and its position."""
    held = measured(made.shape)
    assert held.volume == pytest.approx(figures.volume, rel=VOLUME_REL)
    assert held.surface == pytest.approx(figures.surface, rel=VOLUME_REL)
    assert held.centroid == pytest.approx(figures.centroid, abs=LENGTH)
    assert (*figures.lowest, *figures.highest) == pytest.approx(kernel_box(made), abs=1e-6)
    assert volume_from_blank(body, flat) == pytest.approx(figures.volume, rel=VOLUME_REL)


def _one_closed_solid(body: Body, made: Solid, flat: Blank) -> None:
    """DESIGN 5.4: valid, each edge in two faces, just the faces of the model; a blank on itself is not counted."""
    assert BRepCheck_Analyzer(made.shape).IsValid()
    if not flat.overlaps:
        assert_census(body, made, flat)


def _one_blank(body: Body, made: Solid, flat: Blank) -> None:
    """DESIGN 5.3, and that the sewn blank is the union of its flats and bends."""
    found = unfolded(body, made).blank
    check_outlines(flat, found)
    check_bends(flat, found)
    check_overlaps(body, flat, found)
    if not flat.overlaps:
        assert_union(body, flat)
    elif sum(overlap.area for overlap in flat.overlaps) > 1e-3:
        # Flats and bends that overlap cover less together than one by one; shapely is the referee.
        pieces = [faceted(piece) for piece in pieces_of(body)]
        assert laid_together(pieces).area < math.fsum(piece.area for piece in pieces) - 1e-6


def _moved_and_scaled(body: Body, flat: Blank, figures: Properties) -> None:
    """DESIGN 5.6: by closed form and blank."""
    image = mirror(body, "yz", (5, 0, 0))
    assert properties(image).volume == pytest.approx(figures.volume, rel=1e-12)
    assert _same(blank(image).outline, flat.outline.moved(Motion.turn_over()))
    assert properties(mirror(image, "yz", (5, 0, 0))).centroid == pytest.approx(figures.centroid, abs=1e-9)
    # Not to the last digit: what counts as one point is not scaled with the body.
    assert properties(scaled(body, 3.0)).volume == pytest.approx(27.0 * figures.volume, rel=VOLUME_REL)
    many = [properties(one).volume for one in array_about(body, X_AXIS, 3)]
    assert sum(many) == pytest.approx(3.0 * figures.volume, rel=1e-12)


def _same(one: Outline, other: Outline) -> bool:
    """True when no outline leaves the other; where edges graze each other, a corner may lie further along them."""
    return alike(one, other) or (
        len(one.holes) == len(other.holes) and max(furthest(one, other), furthest(other, one)) <= LENGTH
    )


MOST_BENT = 6
"""Bodies of more bends are left to the tests of the plan, for the sake of time."""


def _bent_in_an_order(body: Body, flat: Blank) -> None:
    """
    The schedule has every bend once, and so have the steps of a plan, where there is one; their numbers are one.

    What is pressed on after an acute V has two steps.
    """
    if len(body.bends) > MOST_BENT:
        return
    found = schedule(plan_bends(body, flat))
    names = sorted(bend.name for bend in body.bends)
    assert sorted(row.mark.name for row in found.bends) == names
    if found.plan.found:
        pressed_on = [body.bends[number].name for number in found.plan.model.acute]
        assert sorted(name for step in found.plan.ordered for name in step) == sorted([*names, *pressed_on])
        assert all(row.mark.name in found.plan.ordered[row.number - 1] for row in found.bends)


def _files_read_back(body: Body, made_of: Methods, folder: Path) -> None:
    """DESIGN 5.4 and 5.7: the STEP file is the part, all methods agree, and files have the same bytes twice."""
    (made, flat, figures), contents = made_of, []
    date = datetime(1970, 1, 1)
    by_kernel = kernel_bytes(made, "part.step", "AP214", PLAIN_STEEL, date)
    assert step_bytes(made, "part.step", "AP214", PLAIN_STEEL, date) == by_kernel
    for turn in ("one", "two"):
        path = folder / f"{os.getpid()}-{turn}" / "part.step"
        path.parent.mkdir(exist_ok=True)
        write_step(made, path)
        write_blank_dxf(flat, path.with_suffix(".dxf"))
        write_blank_svg(flat, path.with_suffix(".svg"))
        read = proved_step(path, made, figures.volume)
        assert read.volume == pytest.approx(figures.volume, rel=VOLUME_REL)
        assert read.area == pytest.approx(figures.surface, rel=VOLUME_REL)
        assert read.centroid == pytest.approx(figures.centroid, abs=LENGTH)
        assert [row for row in _audited(body, made_of, read) if not row.agrees] == []
        write_json(record(Part(body), audited=False), path.with_suffix(".json"))
        contents.append([path.with_suffix(kind).read_bytes() for kind in (".step", ".dxf", ".svg", ".json")])
    assert contents[0] == contents[1]


def _audited(body: Body, made_of: Methods, read: ReadBack) -> tuple[AuditRow, ...]:
    """All methods to the figures of the part."""
    made, flat, figures = made_of
    found, meshes = unfolded(body, made).blank, mesh_volumes(body, made)
    return audit(body, figures, flat, measured(made.shape), read, found, meshes)


def _mesh_converges(body: Body, flat: Blank, figures: Properties) -> None:
    """DESIGN 5.5: watertight, of the part's genus, and within a bound that goes down with the chord."""
    for chord in (0.2, 0.02):
        meshed = mesh(body, chord)
        assert meshed.is_watertight
        assert meshed.is_winding_consistent
        if not flat.overlaps:
            assert meshed.euler_number == 2 - 2 * len(flat.outline.holes)
        bound = chord_bound(body, chord) + 1e-9 * figures.volume
        assert abs(meshed.volume - figures.volume) <= bound
