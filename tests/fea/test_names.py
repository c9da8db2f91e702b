"""Names that an analyst clamps by: the end of a whole profile, and one side of every bend, wherever its root is."""

from __future__ import annotations

import numpy as np
import pytest

from formparts.body import Body, Sheet
from formparts.fea import FeaMesh, mesh_of
from formparts.recipe_functions import find_recipe
from formparts.shapes import down, profile, run, up
from formparts.solids import solid


def channel(root: int) -> Body:
    pieces = (run(30), up(90), run(50), up(90), run(30), down(60), run(20))
    return profile(Sheet(2, 3), 40, *pieces, name="channel", root=root)


def nodes(mesh: FeaMesh, name: str) -> set[int]:
    return {int(node) for faces in mesh.surfaces[name] for node in faces.ravel()}


@pytest.mark.parametrize("root", [1, 2, 3, 4])
def test_one_end_of_a_profile_has_one_hand(root: int) -> None:
    """A profile is drawn along y from 0 to its width: all `start` and `front` are faces at one of them, all `end` and
    `back` at the other, whichever run stays where it is; `channel.front` is the faces of one end and no other."""
    body = channel(root)
    mesh = mesh_of(body, "shell", 8)
    ends = {}
    for word, other in (("front", "start"), ("back", "end")):
        single = [f"channel.run[{n}].{word}" for n in (1, 2, 3, 4)] + [
            f"channel.bend[{n}].{other}" for n in (1, 2, 3)
        ]
        (ends[word],) = {round(y, 9) for name in single for y in mesh.nodes[list(nodes(mesh, name)), 1]}
        assert nodes(mesh, f"channel.{word}") == set().union(*(nodes(mesh, name) for name in single))
    assert sorted(ends.values()) == [0.0, 40.0]
    at = np.flatnonzero(np.abs(mesh.nodes[:, 1] - ends["front"]) < 1e-9)
    assert nodes(mesh, "channel.front") == set(at.tolist())


def test_an_end_of_each_lug() -> None:
    """Each side of a lug has a name of its own; what it means is one plane of the lug, with both its bends."""
    mesh = mesh_of(find_recipe("ring_riser")(), "shell", 20)
    for number in (1, 2, 3, 4):
        for side in ("left_side", "right_side"):
            points = mesh.nodes[list(nodes(mesh, f"lug[{number}].{side}"))]
            away = points - points.mean(axis=0)
            assert np.linalg.svd(away)[1][2] < 1e-9 * len(points)
            assert nodes(mesh, f"lug[{number}].tip.{side}") < nodes(mesh, f"lug[{number}].{side}")


def test_a_name_of_the_step_file_is_in_the_mesh() -> None:
    """A wall that other edges cut in four has four numbered names in both, and the bare name, which is in no STEP
    file, means all four in the mesh."""
    body = find_recipe("ring_riser")()
    faces = [name for name in solid(body).faces if name.startswith("ear_left.hole.wall")]
    mesh = mesh_of(body, "shell", 20)
    assert "ear_left.hole.wall" not in faces
    assert nodes(mesh, "ear_left.hole.wall") == set().union(*(nodes(mesh, name) for name in faces))
