"""Compose the blank: outline, bend lines, overlaps and names, moved to its final position."""

from __future__ import annotations

from dataclasses import replace

from formparts.layout import BendMark, Blank, FeatureMark, Overlap
from formparts.outline.edges import Edge
from formparts.outline.regions import Loop, joint_bounds
from formparts.tolerances import LENGTH, SAME_PLACE
from formparts.unfolder.develop import Developed, crossings, mark_of, piece_edges
from formparts.unfolder.laid import Sewn, laid_out
from formparts.unfolder.limits import LOOSE_ANGLE, LOOSE_LENGTH
from formparts.unfolder.measures import volume_method
from formparts.unfolder.overlapping import overlaps, patch_of
from formparts.unfolder.pieces import hinges_at, is_flat
from formparts.unfolder.placing import BendMap, spot
from formparts.unfolder.results import FoundBend, FoundFeature, FoundFlat, Unfolded
from formparts.unfolder.sewing import area_of, moved_edge, outline_from
from formparts.unfolder.skins import SheetSkins
from formparts.unfolder.solid_data import Cone, Cylinder, Plane
from formparts.unfolder.space import Pair, times


def composed(
    sheet: SheetSkins, skin: Developed, other: Developed, names: dict[int, str], sewn: Sewn, to_origin: bool
) -> Unfolded:
    """Name and place everything found; `to_origin` puts the lower left corner of the blank at the origin."""
    low_x, low_y, _, _ = joint_bounds([loop.bounds for loop in (sewn.outer, *sewn.holes)])
    by = (-low_x, -low_y) if to_origin else (0.0, 0.0)
    rims = piece_edges(skin)
    found = {
        piece: mark_of(skin, piece, names[piece], rims[piece])
        for piece in skin.maps
        if not is_flat(skin.net.pieces[piece])
    }
    if sewn.notes:
        found = {piece: _ended(mark, sewn) for piece, mark in found.items()}
    marks = {piece: _moved_mark(mark, by) for piece, mark in found.items()}
    thickness, loose_by, notes = skin.side.thickness, sheet.loose_by, sewn.notes
    if loose_by > LENGTH:
        thickness = round(thickness, LOOSE_LENGTH)
        marks = {piece: _rounded(mark) for piece, mark in marks.items()}
        said = f"thickness and radii are rounded to {10.0**-LOOSE_LENGTH:g} mm, angles to {10.0**-LOOSE_ANGLE:g} deg"
        notes = [*notes, f"ends of edges lie up to {loose_by:.2g} mm off their faces: {said}"]
    outline = outline_from(_moved(sewn.outer, by), [_moved(hole, by) for hole in sewn.holes])
    shallow = max(LENGTH, min(loose_by, SAME_PLACE))
    twice = _overlaps_of(skin, names, rims, by, shallow)
    if not twice and sewn.notes:
        # At a slanted edge the outline may be that of the other skin, which is wider there.
        twice = _overlaps_of(other, _names_above(sheet, skin, other, names), piece_edges(other), by, shallow)
    features = tuple(_moved_feature(feature, by) for feature in sewn.features)
    on_sheet = tuple(FeatureMark(each.kind, each.what, each.outlines, each.centre) for each in features)
    return Unfolded(
        sheet.part.name,
        thickness,
        tuple(_flat(skin, piece, names[piece], rims[piece]) for piece in skin.maps if piece not in marks),
        tuple(_bend(skin, piece, mark) for piece, mark in marks.items()),
        Blank(sheet.part.name, thickness, outline, tuple(marks.values()), twice, on_sheet),
        sheet.volume,
        tuple(notes),
        volume_method(sheet.part),
        loose_by,
        features,
        sewn.unexplained,
        sewn.healed,
        *laid_out(skin, names, sewn, by),
    )


def _rounded(mark: BendMark) -> BendMark:
    """Return angle and radius with the digits that are reliable where edges deviate from their faces."""
    angle, radius = round(mark.angle, LOOSE_ANGLE), round(mark.inside_radius, LOOSE_LENGTH)
    return replace(mark, angle=angle or mark.angle, inside_radius=radius)


def _overlaps_of(
    skin: Developed, names: dict[int, str], rims: dict[int, list[Edge]], by: Pair, shallow: float
) -> tuple[Overlap, ...]:
    """Return where flats and bends of one skin overlap by more than a depth."""
    patches = [patch_of(names[piece], [moved_edge(edge, *by) for edge in rims[piece]]) for piece in skin.maps]
    found = overlaps(patches, _hinge_lines(skin, names, by), shallow)
    past = _reaching_past(skin, names)
    return tuple(
        each for each in found if each.depth > past.get(frozenset((each.first, each.second)), -1.0) + shallow
    )


def _reaching_past(skin: Developed, names: dict[int, str]) -> dict[frozenset[str], float]:
    """Return by how much flats overlap at a crease, as they end at its mould line, by the names of each pair."""
    found: dict[frozenset[str], float] = {}
    near = hinges_at(skin.net)
    for piece, where in skin.maps.items():
        own = skin.net.pieces[piece]
        if own.setback > 0.0 and own.round is not None and isinstance(where, BendMap):
            beside = [names[hinge.beyond(piece)] for hinge in near[piece]]
            depth = abs(where.stretch) * 2.0 * own.round.half_rad
            for pair in ((names[piece], beside[0]), (names[piece], beside[-1]), (beside[0], beside[-1])):
                found[frozenset(pair)] = depth
    return found


def _names_above(
    sheet: SheetSkins, skin: Developed, other: Developed, names: dict[int, str]
) -> dict[int, str]:
    """Return the flats and bends of the other skin by the names of those that they lie under, else by a number."""
    found: dict[int, str] = {}
    for piece in other.maps:
        faces = other.net.pieces[piece].faces
        above = [over for face in faces for over in sheet.families.partners(face, skin.side.thickness)]
        known = [names[skin.net.piece_of[over]] for over in above if over in skin.net.piece_of]
        found[piece] = next((name for name in known if name not in found.values()), f"piece[{piece + 1}]")
    return found


def _hinge_lines(
    skin: Developed, names: dict[int, str], by: Pair
) -> dict[frozenset[str], list[tuple[Pair, Pair]]]:
    """Return where two flats or bends are joined on the blank, by the names of both."""
    lines: dict[frozenset[str], list[tuple[Pair, Pair]]] = {}
    for hinge in skin.net.hinges:
        edge, where = skin.part.edges[hinge.edge], skin.maps[hinge.one]
        places = (skin.part.points[vertex] for vertex in (edge.start, edge.end))
        (x0, y0), (x1, y1) = (spot(skin.net, hinge.one, where, place, hinge.other) for place in places)
        line = ((x0 + by[0], y0 + by[1]), (x1 + by[0], y1 + by[1]))
        lines.setdefault(frozenset((names[hinge.one], names[hinge.other])), []).append(line)
    return lines


def _moved(loop: Loop, by: Pair) -> Loop:
    return Loop(tuple(moved_edge(edge, *by) for edge in loop.edges))


def _moved_feature(feature: FoundFeature, by: Pair) -> FoundFeature:
    (x, y), (dx, dy) = feature.centre, by
    outlines = tuple(_moved(loop, by) for loop in feature.outlines)
    return replace(feature, outlines=outlines, centre=(x + dx, y + dy))


def _ended(mark: BendMark, sewn: Sewn) -> BendMark:
    """Return the bend line from cut to cut: where a cut is slanted the blank may have the contour of the other skin."""
    (x0, y0), length = mark.start, mark.length
    way = ((mark.end[0] - x0) / length, (mark.end[1] - y0) / length)
    loops = (sewn.outer, *sewn.holes)
    steps = [step for loop in loops for edge in loop.edges for step in crossings(edge, mark.start, way)]
    low, high = (min(steps, key=lambda step: abs(step - end), default=end) for end in (0.0, length))
    start = (x0 + low * way[0], y0 + low * way[1]) if abs(low) > SAME_PLACE else mark.start
    end = (x0 + high * way[0], y0 + high * way[1]) if abs(high - length) > SAME_PLACE else mark.end
    return replace(mark, start=start, end=end) if low < high else mark


def _moved_mark(mark: BendMark, by: Pair) -> BendMark:
    (x0, y0), (x1, y1), (dx, dy) = mark.start, mark.end, by
    return replace(mark, start=(x0 + dx, y0 + dy), end=(x1 + dx, y1 + dy))


def _flat(skin: Developed, piece: int, name: str, rims: list[Edge]) -> FoundFlat:
    found = skin.net.pieces[piece]
    assert isinstance(found.surface, Plane)
    sign = skin.side.sign
    # The rims of the lower skin run anticlockwise too, as they are seen from above.
    area = abs(area_of(rims, rims[0].start))
    return FoundFlat(name, area, skin.part.place(found.faces[0]), times(float(sign), found.surface.normal))


def _bend(skin: Developed, piece: int, mark: BendMark) -> FoundBend:
    found = skin.net.pieces[piece]
    assert isinstance(found.surface, (Cylinder, Cone))
    place = skin.part.place(found.faces[0]) if found.faces else found.surface.point
    kind = "cone" if isinstance(found.surface, Cone) else "cylinder"
    return FoundBend(
        mark.name,
        mark.angle,
        mark.inside_radius,
        mark.side,
        mark.length,
        mark.allowance,
        place,
        "cone" if kind == "cone" else "cylinder",
    )
