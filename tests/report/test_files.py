"""The picture as a file: other programs read it, and writing it leaves the part as it was."""

from __future__ import annotations

import struct
import zlib

import numpy as np
import pytest

from formparts.errors import InputError
from formparts.report import picture, png, write_picture
from formparts.report.scene import scene
from tests.report.meshes import bracket, read

GREY = (0.6, 0.63, 0.66)


@pytest.mark.parametrize("shape", [(1, 1), (7, 5), (64, 96)])
def test_any_pixels_come_back_from_an_independent_reader(tmp_path, shape):
    """Random points, even ones and a slope, through all row filters and back (reader: Pillow)."""
    random = np.random.default_rng(3).integers(0, 256, (*shape, 3), dtype=np.uint8)
    even = np.full((*shape, 3), 77, dtype=np.uint8)
    slope = (np.arange(random.size) % 256).astype(np.uint8).reshape(random.shape)
    for number, pixels in enumerate((random, even, slope)):
        path = tmp_path / f"{number}.png"
        path.write_bytes(png(pixels))
        assert (read(path) == pixels).all()


def test_file_has_the_three_chunks_and_nothing_else():
    """Signature, IHDR, IDAT, IEND with their check sums (PNG specification, ISO/IEC 15948, from memory)."""
    data = png(np.zeros((3, 4, 3), dtype=np.uint8))
    assert data[:8] == bytes([137, 80, 78, 71, 13, 10, 26, 10])
    kinds, at = [], 8
    while at < len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        kinds.append(data[at + 4 : at + 8])
        (check,) = struct.unpack(">I", data[at + 8 + length : at + 12 + length])
        assert check == zlib.crc32(data[at + 4 : at + 8 + length])
        at += 12 + length
    assert kinds == [b"IHDR", b"IDAT", b"IEND"]


def test_written_picture_is_the_picture_and_the_same_twice(tmp_path):
    """The content of the file is what was drawn, and a second writing gives the same bytes."""
    part = bracket()
    first, second = (write_picture(part, tmp_path / f"{name}.png", GREY, (320, 240)) for name in "ab")
    assert first.read_bytes() == second.read_bytes()
    mesh, edges = scene(part)
    assert (read(first) == picture(mesh, edges, GREY, (320, 240))).all()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.png", "b.png"]


def test_mesh_of_the_picture_is_closed_and_looks_outwards():
    """Volume by trimesh = volume by hand: 2 mm x (55 + 35) x 50 of flats and a quarter ring of bend."""
    import trimesh

    mesh, _ = scene(bracket())
    whole = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False)
    quarter = np.pi / 2.0 * (3.0 + 1.0) * 2.0 * 50.0
    assert whole.is_watertight
    # Facets of 4 degrees at most: the area of a ring sector shrinks by 1 - sin(x) / x = 8e-4.
    assert whole.volume == pytest.approx(2.0 * 90.0 * 50.0 + quarter, abs=8.2e-4 * quarter)
    corners = mesh.vertices[mesh.triangles]
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    assert ((across[:, None, :] * mesh.normals).sum(axis=2) > 0.0).all()


def test_refuses_a_place_that_is_not_there(tmp_path):
    """One clear line with the path, and nothing left behind."""
    with pytest.raises(InputError, match="no folder"):
        write_picture(bracket(), tmp_path / "none" / "part.png", GREY, (64, 48))
    assert list(tmp_path.iterdir()) == []
