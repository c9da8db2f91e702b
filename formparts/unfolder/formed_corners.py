"""Corners of formed features that look like bends without a radius, and openings that such features cover."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from formparts.outline.regions import Loop, joint_bounds
from formparts.unfolder.develop import Developed
from formparts.unfolder.pieces import Hinge
from formparts.unfolder.placing import FlatMap, spot
from formparts.unfolder.results import FoundFeature
from formparts.unfolder.solid_data import SolidData
from formparts.unfolder.space import Pair

SPOTS = 5
"""Number of points along and across at which an opening is tested."""
MOSTLY = 0.85
"""An opening with more than this share of its points under material is covered [-]: a flared hole is open inside."""
CHORDS = 16
"""Number of chords by which an edge is approximated, seen from above."""


def creases_formed(skin: Developed, features: Sequence[FoundFeature]) -> Iterator[int]:
    """Return the edges taken for bends that lie, on the blank, within a formed feature."""
    formed = [feature for feature in features if feature.kind == "formed"]
    boxes = [joint_bounds([loop.bounds for loop in feature.outlines]) for feature in formed]
    for hinge in skin.net.hinges if boxes else ():
        pieces = [skin.net.pieces[number] for number in (hinge.one, hinge.other)]
        crease = next((piece for piece in pieces if piece.assumed), None)
        if crease is not None:
            reach = 2.0 * crease.setback + skin.side.thickness
            ends = _ends(skin, hinge)
            if any(all(_within(place, box, reach) for place in ends) for box in boxes):
                yield hinge.edge


def _ends(skin: Developed, hinge: Hinge) -> list[Pair]:
    """Return the ends of a hinge on the blank."""
    edge, where = skin.part.edges[hinge.edge], skin.maps[hinge.one]
    places = (skin.part.points[vertex] for vertex in (edge.start, edge.end))
    return [spot(skin.net, hinge.one, where, place, hinge.other) for place in places]


def _within(place: Pair, box: tuple[float, float, float, float], reach: float) -> bool:
    """True when a point lies in a box, or at most a distance beside it."""
    (x, y), (x0, y0, x1, y1) = place, box
    return x0 - reach <= x <= x1 + reach and y0 - reach <= y <= y1 + reach


def is_covered(part: SolidData, faces: Sequence[int], pair: tuple[Loop, Loop], where: FlatMap) -> bool:
    """
    True when there is material over an opening: a louvre or bridge of the sheet, where a nut would be open.

    Tested at points within the smaller of the two contours: a face lies over a point when its rim runs around it.
    """
    small = min(pair, key=lambda loop: abs(loop.signed_area))
    x0, y0, x1, y1 = small.bounds
    shares = [(number + 0.5) / SPOTS for number in range(SPOTS)]
    spots = [(x0 + a * (x1 - x0), y0 + b * (y1 - y0)) for a in shares for b in shares]
    inside = [place for place in spots if small.winds_round(place)]
    rims = [_rim(part, face, where) for face in faces]
    covered = sum(any(abs(_turns(rim, place)) > 0.5 for rim in rims) for place in inside)
    return covered > MOSTLY * len(inside)


def _rim(part: SolidData, face: int, where: FlatMap) -> list[tuple[Pair, Pair]]:
    """Return the edges of a face as chords, seen from above."""
    chords: list[tuple[Pair, Pair]] = []
    for number, forward in part.faces[face].coedges:
        places = [where(place) for place in part.edges[number].places(CHORDS + 1)]
        chords.extend(pairwise(places if forward else places[::-1]))
    return chords


def _turns(rim: list[tuple[Pair, Pair]], place: Pair) -> float:
    """Return how often a rim runs around a point."""
    ways = [[math.atan2(y - place[1], x - place[0]) for x, y in chord] for chord in rim]
    return math.fsum(math.remainder(end - start, math.tau) for start, end in ways) / math.tau
