"""GLB, STL and 3MF: the unit is right in each, the mesh is closed, and within its chord of the solid."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
import trimesh

from formparts.body import Frame
from formparts.cli import main
from formparts.closed_forms import properties
from formparts.errors import FileProofError, InputError
from formparts.export import glb, mesh, three_mf, write_3mf, write_glb, write_stl
from tests.parts import CAST

NAMES = ("flat_plate", "zed", "lug_ring", "turned")
WRITERS = {"glb": write_glb, "stl": write_stl, "3mf": write_3mf}
SCALE = {"glb": 1000.0, "stl": 1.0, "3mf": 1.0}
"""glTF 2.0: metres; STL: no unit, formparts writes mm; 3MF: as the file says (both specifications from memory)."""


def read(path: Path) -> trimesh.Trimesh:
    """The file as trimesh reads it (3MF as plain XML), points that are one joined."""
    kind = path.suffix[1:]
    if kind == "3mf":
        made = three_mf_mesh(path)
    else:
        made = trimesh.load(path, force="mesh")
    made.merge_vertices(digits_vertex=9 if kind == "glb" else 6)
    return made


def three_mf_mesh(path: Path) -> trimesh.Trimesh:
    """Points and triangles of a 3MF file."""
    from xml.etree import ElementTree

    with zipfile.ZipFile(path) as package:
        assert "[Content_Types].xml" in package.namelist()
        root = ElementTree.fromstring(package.read("3D/3dmodel.model"))
    assert root.get("unit") == "millimeter"
    space = {"m": root.tag[1:].partition("}")[0]}
    points = [[float(v.get(axis, "")) for axis in "xyz"] for v in root.iterfind(".//m:vertex", space)]
    faces = [
        [int(t.get(key, "")) for key in ("v1", "v2", "v3")] for t in root.iterfind(".//m:triangle", space)
    ]
    return trimesh.Trimesh(points, faces, process=False)


@pytest.mark.parametrize("kind", WRITERS)
@pytest.mark.parametrize("name", NAMES)
def test_read_back(name: str, kind: str, tmp_path: Path) -> None:
    """Closed, of the part's volume and envelope in mm, at a coarse chord and a fine one."""
    body = CAST[name]()
    wanted = properties(body)
    for chord in (0.2, 0.02):
        made = read(WRITERS[kind](body, tmp_path / f"{name}.{kind}", chord=chord))
        assert made.is_watertight
        assert made.is_winding_consistent
        # A skin that lies within a chord of the true one cannot enclose more or less than chord times surface.
        assert abs(made.volume * SCALE[kind] ** 3 - wanted.volume) < chord * wanted.surface
        sides = made.extents * SCALE[kind]
        assert sorted(sides) == pytest.approx(sorted(wanted.envelope), abs=2 * chord)
    assert made.volume * SCALE[kind] ** 3 == pytest.approx(wanted.volume, rel=1e-3)


@pytest.mark.parametrize("kind", WRITERS)
def test_same_bytes(kind: str, tmp_path: Path) -> None:
    """The same part, the same file."""
    first = WRITERS[kind](CAST["zed"](), tmp_path / f"one.{kind}").read_bytes()
    assert WRITERS[kind](CAST["zed"](), tmp_path / f"two.{kind}").read_bytes() == first


@pytest.mark.parametrize("kind", WRITERS)
def test_no_chord(kind: str, tmp_path: Path) -> None:
    """A tolerance of nothing is refused, and nothing is written."""
    with pytest.raises(InputError, match="chord"):
        WRITERS[kind](CAST["zed"](), tmp_path / f"zed.{kind}", chord=0.0)
    assert list(tmp_path.iterdir()) == []


def test_up_is_up(tmp_path: Path) -> None:
    """glTF's y is our z: the zed, whose height is known, is upright."""
    body = CAST["zed"]()
    made = trimesh.load(write_glb(body, tmp_path / "zed.glb"), force="mesh")
    wanted = properties(body)
    assert made.bounds[:, 1] * 1000 == pytest.approx([wanted.lowest[2], wanted.highest[2]], abs=0.05)


def test_the_proof_of_a_3mf_can_fail(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A triangle left out, another unit: not delivered."""
    real = three_mf._model
    for old, new in (("<triangle ", "<other "), ("millimeter", "inch")):
        monkeypatch.setattr(
            three_mf,
            "_model",
            lambda name, made, a=old, b=new: (line.replace(a, b) for line in real(name, made)),
        )
        with pytest.raises(FileProofError):
            write_3mf(CAST["zed"](), tmp_path / "zed.3mf")
    assert list(tmp_path.iterdir()) == []
    assert mesh(CAST["zed"]()).is_watertight


def test_the_proof_of_triangles_can_fail(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One triangle left out, one that projects by 0.01 mm, metres for millimetres: not delivered."""
    whole = mesh(CAST["zed"]())
    real = trimesh.Trimesh.export
    out = whole.copy()
    out.vertices[int(whole.vertices[:, 2].argmax())] += (0, 0, 0.01)
    less = trimesh.Trimesh(whole.vertices, whole.faces[:-1], process=False)
    for other in (out, less):
        monkeypatch.setattr(
            trimesh.Trimesh, "export", lambda _, file_type, other=other: real(other, file_type=file_type)
        )
        with pytest.raises(FileProofError):
            write_stl(CAST["zed"](), tmp_path / "zed.stl")
    part = ("zed", whole, (0.5, 0.5, 0.5))
    nodes = [("one", 0, Frame()), ("two", 0, Frame(origin=(0.0, 0.0, 50.0)))]
    node = glb._node
    monkeypatch.setattr(glb, "_node", lambda each: node((each[0], each[1], Frame())))
    with pytest.raises(FileProofError, match="reaches from"):
        glb.delivered_glb(tmp_path / "two.glb", "two", [part], nodes)
    assert list(tmp_path.iterdir()) == []
    monkeypatch.setattr(glb, "_node", node)
    assert glb.delivered_glb(tmp_path / "two.glb", "two", [part], nodes).exists()


def test_command(tmp_path: Path) -> None:
    """make --mesh writes what is asked for; a finer chord takes more triangles."""
    asked = ["make", "z_clip", "--out", str(tmp_path), "--mesh", "glb", "--mesh", "3mf", "--chord", "0.2 mm"]
    assert main(asked) == 0
    assert {"z_clip.glb", "z_clip.3mf"} <= {path.name for path in tmp_path.iterdir()}
    coarse = (tmp_path / "z_clip.glb").stat().st_size
    assert main([*asked[:-1], "0.002 mm"]) == 0
    assert (tmp_path / "z_clip.glb").stat().st_size > coarse
    assert main(["make", "z_clip", "--mesh", "obj"]) == 2
    assert main(["make", "z_clip", "--chord", "1"]) == 2
