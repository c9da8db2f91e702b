"""Parts are exactly where they are placed; what is counted, weighed and written is what was placed."""

from __future__ import annotations

import json
import math
import re
import struct
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from formparts.assembly import (
    Assembly,
    Placed,
    Turned,
    assembly_files,
    bill,
    cadquery_assembly,
    part_frames,
    place,
    write_assembly_glb,
    write_assembly_step,
)
from formparts.assembly.facts import part_colour
from formparts.assembly.placing import box_of
from formparts.assembly.solids import part_solid
from formparts.assembly.step_instances import read_assembly
from formparts.assembly.turned import turned_solid
from formparts.assembly_recipes import assemble, assembly_recipe, find_assembly
from formparts.body import Frame
from formparts.body.frame import cross, dot
from formparts.cli import main
from formparts.closed_forms import properties
from formparts.errors import FileProofError, InputError
from formparts.export import read_step, write_step
from formparts.export.step_products import read_product_facts
from formparts.kernel import KernelMeasures, measured
from tests.assembly.samples import BOLT, SPACER, bracket, stack
from tests.parts import CAST
from tests.referees import gmsh_session

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("name", CAST)
def test_frames_are_right_handed_and_lie_on_their_faces(name: str) -> None:
    """Axes of length one at right angles; the upper frame a thickness above the lower, looking the other way."""
    body = CAST[name]()
    found = part_frames(body)
    for frame in found.values():
        assert [dot(axis, axis) for axis in (frame.x, frame.y, frame.z)] == pytest.approx([1, 1, 1])
        assert cross(frame.x, frame.y) == pytest.approx(frame.z, abs=1e-12)
    lower = [key for key in found if key.endswith(".lower")]
    assert len(lower) == sum(1 + len(flat.openings) for flat in body.flats)
    for below in lower:
        low, high = found[below], found[below.replace(".lower", ".upper")]
        assert high.local(low.origin) == pytest.approx((0, 0, -body.sheet.thickness), abs=1e-9)
        assert dot(low.z, high.z) == pytest.approx(-1)


def test_places_by_hand() -> None:
    """The foot hole lies at (15, 12.5), its faces at z = 0 and 2: the shoulder goes to 2, the spacer up to 0."""
    foot, spacer, bolt = stack().items
    assert foot.at("foot_hole[1].upper").origin == pytest.approx((15, 12.5, 2))
    assert spacer.at("top").origin == pytest.approx((15, 12.5, 0))
    assert spacer.at("bottom").origin == pytest.approx((15, 12.5, -15))
    assert bolt.at("shoulder[1]").origin == pytest.approx((15, 12.5, 2))
    assert bolt.at("bottom").origin == pytest.approx((15, 12.5, -18))  # 20 mm of shank
    assert bolt.at("top").origin == pytest.approx((15, 12.5, 7))  # 5 mm of head


def test_on_an_upright_face() -> None:
    """The upright leg's hole: x is the leg's inner face, 40 - 2; the bolt lies along x, its head inside the angle."""
    wall = Placed("bracket", bracket()).at("wall_hole[1].upper")
    assert wall.z == pytest.approx((-1, 0, 0), abs=1e-12)
    assert wall.origin == pytest.approx((38, 12.5, 5 + 12))  # the leg begins at its tangent line, 3 + 2 up
    bolt = place(BOLT, "shoulder[1]", wall)
    assert bolt.at("bottom").origin == pytest.approx((58, 12.5, 17))
    low, high = box_of(bolt)
    assert low == pytest.approx((33, 6, 10.5))
    assert high == pytest.approx((58, 19, 23.5))


@pytest.mark.parametrize("facing", [True, False])
@pytest.mark.parametrize("turned", [0.0, 90.0, 37.0, -120.0])
def test_a_placed_frame_lies_on_its_mark(facing: bool, turned: float) -> None:
    """Wherever it goes, the part's frame is on the mark, turned and set off as asked; and placing back undoes it."""
    mark = part_frames(CAST["turned"]())["zed.run[2].lower"]
    placed = place(bracket(), "wall_hole[1].lower", mark, turned=turned, gap=3.5, facing=facing)
    there = placed.at("wall_hole[1].lower")
    assert mark.local(there.origin) == pytest.approx((0, 0, 3.5), abs=1e-9)
    assert dot(there.z, mark.z) == pytest.approx(-1 if facing else 1)
    assert math.degrees(math.atan2(dot(there.x, mark.y), dot(there.x, mark.x))) == pytest.approx(turned)
    back = place(bracket(), "wall_hole[1].lower", part_frames(bracket())["wall_hole[1].lower"], facing=False)
    assert back.frame.origin == pytest.approx((0, 0, 0), abs=1e-12)
    assert back.frame.x == pytest.approx((1, 0, 0), abs=1e-12)


def test_turned_part_by_hand() -> None:
    """A bolt is pi/4 (8^2 x 20 + 13^2 x 5) mm3; steel of 7850 kg/m3; a tube has its bore missing."""
    volume = math.pi / 4 * (64 * 20 + 169 * 5)
    assert BOLT.volume == pytest.approx(volume, rel=1e-12)
    assert BOLT.mass == pytest.approx(volume * 7.85e-6, rel=1e-12)
    assert SPACER.volume == pytest.approx(math.pi / 4 * (400 - 8.5**2) * 15, rel=1e-12)


@pytest.mark.parametrize(
    "part",
    [
        BOLT, SPACER, Turned("pin", ((6, 30),)), Turned("flanged", ((60, 6), (40, 50), (60, 6)), bore=20),
        Turned("drum", ((20, 5), (50, 5), (20, 5), (30, 5))),
    ],
    ids=lambda part: part.name,
)  # fmt: skip
def test_turned_solid(part: Turned, tmp_path: Path) -> None:
    """Volume, centre and box of the solid are those of the closed form; no face has a seam; the STEP file is proved."""
    from formparts.assembly.solids import part_mesh
    from formparts.assembly.turned import turned_box, turned_centroid

    made = turned_solid(part)
    found = measured(made.shape)
    assert found.volume == pytest.approx(part.volume, rel=1e-9)
    assert found.centroid == pytest.approx(turned_centroid(part), abs=1e-9)
    # Two round halves for every step and for the bore, a flat face at both ends and at every shoulder.
    steps = len(part.steps)
    assert len(made.faces) == 2 * steps + 2 + (steps - 1) + (2 if part.bore else 0)
    assert part_mesh(part, 0.01).bounds == pytest.approx(np.array(turned_box(part, Frame())), abs=0.01)
    assert read_step(write_step(made, tmp_path / "part.step")).name == part.name


def test_mass_and_bill() -> None:
    """Equal parts count once, in the order of their first; totals add up to the assembly's mass."""
    foot, spacer, bolt = stack().items
    twice = Assembly("two", (foot, spacer, bolt, replace(bolt, name="second", frame=Frame((0, 0, 90)))))
    rows = bill(twice)
    assert [(row.part, row.count) for row in rows] == [("bracket", 1), ("spacer", 1), ("bolt", 2)]
    assert rows[2].items == ("bolt", "second")
    assert sum(row.total for row in rows) == pytest.approx(twice.mass, rel=1e-12)
    assert twice.mass == pytest.approx(properties(bracket()).mass + SPACER.mass + 2 * BOLT.mass, rel=1e-12)


def test_centroid_of_two_like_parts() -> None:
    """Half-way between them."""
    pair = Assembly("pair", (Placed("one", BOLT), Placed("two", BOLT, Frame((30, 40, 50)))))
    own = part_solid(BOLT)
    z = measured(own.shape).centroid[2]
    assert pair.centroid == pytest.approx((15, 20, 25 + z))


@pytest.mark.parametrize("schema", ["AP214", "AP242"])
def test_step_holds_instances(schema: str, tmp_path: Path) -> None:
    """Two bolts are one product and two instances; names beyond ASCII; the same bytes every time."""
    foot, spacer, bolt = stack().items
    other = replace(bolt, name="Träger 2", frame=Frame((0, 0, 90), (0, 1, 0), (0, 0, 1), (1, 0, 0)))
    made = Assembly("stack", (foot, spacer, bolt, other))
    path = write_assembly_step(made, tmp_path / "stack.step", schema=schema)
    text = path.read_text()
    assert text.count("MANIFOLD_SOLID_BREP(") == 3
    assert text.count("NEXT_ASSEMBLY_USAGE_OCCURRENCE(") == 4
    assert re.findall(r"MANIFOLD_SOLID_BREP\('(.*?)'", text) == ["bracket", "spacer", "bolt"]
    found = read_assembly(path)
    assert found.name == "stack"
    assert {instance.name: instance.product.name for instance in found.instances} == {
        "bracket": "bracket", "spacer": "spacer", "bolt": "bolt", "Träger 2": "bolt"
    }  # fmt: skip
    colours = {instance.name: instance.product.colour for instance in found.instances}
    assert colours["bracket"] == pytest.approx(foot.part.sheet.material.colour, abs=1e-4)
    assert colours["bolt"] == pytest.approx(BOLT.material.colour, abs=1e-4)


def test_products_carry_material_and_validation_properties(tmp_path: Path) -> None:
    """Of every product by hand, and by the kernel's own reader of validation properties and materials; a bolt's
    surface is its two round faces, the disc of the head seen from above and from below (ring and shank's end)."""
    foot, spacer, bolt = stack().items
    other = replace(bolt, name="second", frame=Frame((0, 0, 90)))
    made = Assembly(
        "stack", (foot, spacer, replace(bolt, part=replace_name(bolt.part, "Träger 'M8'")), other)
    )
    path = write_assembly_step(made, tmp_path / "stack.step")
    said = dict(read_product_facts(path))
    assert list(said) == ["bracket", "spacer", "Träger 'M8'", "bolt", "stack"]
    bolts = said["bolt"]
    assert bolts.volume == pytest.approx(math.pi / 4 * (64 * 20 + 169 * 5), rel=1e-12)
    assert bolts.area == pytest.approx(math.pi * (8 * 20 + 13 * 5) + 2 * math.pi / 4 * 169, rel=1e-12)
    height = (64 * 20 * 10 + 169 * 5 * 22.5) / (64 * 20 + 169 * 5)
    assert bolts.centroid == pytest.approx((0, 0, height), abs=1e-9)
    assert {
        (found.material, found.density) for name, found in said.items() if name not in ("bracket", "stack")
    } == {("steel", 7850)}
    assert said["bracket"].material == foot.part.sheet.material.name
    for item in made.items:
        shape = measured(part_solid(item.part).shape)
        found = said[item.part.name]
        assert found.volume == pytest.approx(shape.volume, rel=1e-9)
        assert found.area == pytest.approx(shape.surface, rel=1e-9)
        assert found.centroid == pytest.approx(shape.centroid, abs=1e-6)
    kernel = kernel_properties(path)
    assert kernel.keys() == said.keys()
    for name, (volume, area, centroid) in kernel.items():
        assert volume == pytest.approx(said[name].volume, rel=1e-9)
        assert area == pytest.approx(said[name].area, rel=1e-9)
        assert centroid == pytest.approx(said[name].centroid, abs=1e-9)


def replace_name(part: Turned, name: str) -> Turned:
    return Turned(name, part.steps, part.material, part.bore)


def kernel_properties(path: Path) -> dict[str, tuple[float, float, tuple[float, float, float]]]:
    """Volume, area and centroid that the file states of each product, as the kernel's own reader has them."""
    from OCP.gp import gp_Pnt
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TDF import TDF_LabelSequence
    from OCP.XCAFDoc import XCAFDoc_Area, XCAFDoc_Centroid, XCAFDoc_Volume

    from formparts.export.step import new_document
    from formparts.kernel_reader import name_of

    document, parts, _ = new_document()
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetPropsMode(True)
    reader.ReadFile(str(path))
    assert reader.Transfer(document)
    labels, found = TDF_LabelSequence(), {}
    parts.GetShapes(labels)
    for number in range(1, labels.Length() + 1):
        label = labels.Value(number)
        if not label.IsAttribute(XCAFDoc_Volume.GetID_s()):
            continue  # what has none cannot be asked for it: the kernel's binding falls over
        volume, area, centre = XCAFDoc_Volume(), XCAFDoc_Area(), XCAFDoc_Centroid()
        assert label.FindAttribute(XCAFDoc_Volume.GetID_s(), volume)
        assert label.FindAttribute(XCAFDoc_Area.GetID_s(), area)
        assert label.FindAttribute(XCAFDoc_Centroid.GetID_s(), centre)
        place: gp_Pnt = centre.Get()
        found[name_of(label)] = (volume.Get(), area.Get(), (place.X(), place.Y(), place.Z()))
    return found


def test_the_proof_of_what_products_state_can_fail(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Properties that went to the wrong product, or a wrong density, are seen."""
    real = assembly_files.with_product_facts
    monkeypatch.setattr(
        assembly_files, "with_product_facts", lambda content, facts, whole: real(content, facts[::-1], whole)
    )
    with pytest.raises(FileProofError, match="bracket: the volume that it states"):
        write_assembly_step(stack(), tmp_path / "stack.step")
    heavy = [replace(assembly_files.product_facts(item.part), density=7900.0) for item in stack().items]
    monkeypatch.setattr(
        assembly_files, "with_product_facts", lambda content, _, whole: real(content, heavy, whole)
    )
    with pytest.raises(FileProofError, match="the density that it states"):
        write_assembly_step(stack(), tmp_path / "stack.step")
    assert not (tmp_path / "stack.step").exists()


def test_same_bytes(tmp_path: Path) -> None:
    """Ten times the same assembly, ten times the same file: nothing in it hangs on where things lie in memory."""
    foot, spacer, bolt = stack().items
    made = Assembly("stack", (foot, spacer, bolt))
    files = [write_assembly_step(made, tmp_path / "stack.step").read_bytes() for _ in range(10)]
    assert len(set(files)) == 1


def test_assemblies_in_assemblies_of_others(tmp_path: Path) -> None:
    """CadQuery writes a pair of boxes twice in a whole, once turned about z: where their centres lie, by hand."""
    cadquery = pytest.importorskip("cadquery", reason="CadQuery is one of our own requirements")
    box, place = cadquery.Solid.makeBox, cadquery.Location
    pair = cadquery.Assembly(name="pair").add(box(1, 2, 3), name="a", loc=place((10, 0, 0)))
    pair.add(box(2, 2, 2), name="b")
    whole = cadquery.Assembly(name="whole").add(pair, name="left", loc=place((0, 0, 5), (0, 0, 1), 90))
    whole.add(pair, name="right", loc=place((0, 0, 50))).add(box(1, 1, 1), name="c")
    whole.export(str(tmp_path / "whole.step"))
    found = read_assembly(tmp_path / "whole.step")
    assert found.name == "whole"
    assert [instance.product.name for instance in found.instances] == ["a", "b", "a", "b", "c"]
    centres = [measured(instance.shape).centroid for instance in found.instances]
    by_hand = [(-1, 10.5, 6.5), (-1, 1, 6), (10.5, 1, 51.5), (1, 1, 51), (0.5, 0.5, 0.5)]
    for centre, expected in zip(centres, by_hand, strict=True):
        assert centre == pytest.approx(expected, abs=1e-9)
    assert found.instances[0].frame.origin == pytest.approx((0, 10, 5), abs=1e-9)
    assert found.instances[0].frame.x == pytest.approx((0, 1, 0), abs=1e-9)


def test_gmsh_finds_every_part_in_its_place(tmp_path: Path) -> None:
    """Another program: as many solids, the volumes and the centre of all."""
    made = stack()
    path = write_assembly_step(made, tmp_path / "stack.step")
    with gmsh_session() as gmsh:
        solids = [tag for dimension, tag in gmsh.model.occ.importShapes(str(path)) if dimension == 3]
        volumes = [gmsh.model.occ.getMass(3, tag) for tag in solids]
        centres = [gmsh.model.occ.getCenterOfMass(3, tag) for tag in solids]
    wanted = [measured(part_solid(item.part).shape).volume for item in made.items]
    assert sorted(volumes) == pytest.approx(sorted(wanted), rel=1e-9)
    middle = [
        sum(v * c[axis] for v, c in zip(volumes, centres, strict=True)) / sum(volumes) for axis in range(3)
    ]
    # All of steel of one density, so that the centre of mass is that of the volume.
    assert {item.part.material.name if isinstance(item.part, Turned) else "" for item in made.items} == {
        "",
        "steel",
    }
    assert middle == pytest.approx(made.centroid, abs=1e-6)


def test_the_proof_of_a_step_file_can_fail(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A bolt that is written in another place than its own is seen."""

    made = stack()
    elsewhere = Assembly("stack", (*made.items[:2], replace(made.items[2], frame=Frame((1, 2, 3)))))
    real = assembly_files._step_bytes
    monkeypatch.setattr(assembly_files, "_step_bytes", lambda _, *rest: real(elsewhere, *rest))
    with pytest.raises(FileProofError, match="bolt"):
        write_assembly_step(made, tmp_path / "stack.step")
    assert not (tmp_path / "stack.step").exists()


def test_as_an_assembly_of_cadquery() -> None:
    """CadQuery's own measures of it: names, colours, volume and centre of all, and the position of each part."""
    made = stack()
    theirs = cadquery_assembly(made)
    assert [child.name for child in theirs.children] == [item.name for item in made.items]
    whole = theirs.toCompound()
    assert whole.Volume() == pytest.approx(sum(properties_of(item).volume for item in made.items), rel=1e-9)
    middle = whole.Center()  # of the volume; all parts are of steel of one density
    assert (middle.x, middle.y, middle.z) == pytest.approx(made.centroid, abs=1e-6)
    for item, child in zip(made.items, theirs.children, strict=True):
        box = theirs.objects[item.name].obj.moved(child.loc).BoundingBox(0.001)
        low, high = box_of(item)
        assert (box.xmin, box.ymin, box.zmin) == pytest.approx(low, abs=0.01)
        assert (box.xmax, box.ymax, box.zmax) == pytest.approx(high, abs=0.01)
        assert child.color.toTuple()[:3] == pytest.approx(part_colour(item.part), abs=1e-4)
    with pytest.raises(InputError, match="CadQuery wants every name once"):
        cadquery_assembly(Assembly("bolt", made.items))


def properties_of(item: Placed) -> KernelMeasures:
    return measured(part_solid(item.part).shape)


def test_glb_has_a_node_for_each_part(tmp_path: Path) -> None:
    """trimesh reads it: metres, y up, one mesh for equal parts, each node in the position of its part."""
    trimesh = pytest.importorskip("trimesh", reason="trimesh is one of our own requirements")
    foot, spacer, bolt = stack().items
    made = Assembly("stack", (foot, spacer, bolt, replace(bolt, name="second", frame=Frame((0, 0, 90)))))
    path = write_assembly_glb(made, tmp_path / "stack.glb", 0.01)
    scene = trimesh.load(path)
    assert {"bracket", "spacer", "bolt", "second"} <= set(scene.graph.nodes)
    assert len(scene.geometry) == 3
    for item in made.items:
        low, high = box_of(item)
        matrix, shape = scene.graph[item.name]
        placed = scene.geometry[shape].copy().apply_transform(matrix)
        # x stays, z becomes y, y becomes -z; a metre is a thousand mm.
        expected = np.array([[low[0], low[2], -high[1]], [high[0], high[2], -low[1]]]) / 1000
        assert placed.bounds == pytest.approx(expected, abs=2e-5)
        assert placed.is_watertight


def test_glb_is_a_sound_container(tmp_path: Path) -> None:
    """glTF 2.0 specification (from memory): magic, version, lengths, chunks of four bytes, JSON before BIN."""
    data = write_assembly_glb(stack(), tmp_path / "stack.glb").read_bytes()
    magic, version, length = struct.unpack_from("<4sII", data)
    assert (magic, version, length) == (b"glTF", 2, len(data))
    size, kind = struct.unpack_from("<I4s", data, 12)
    assert kind == b"JSON"
    assert size % 4 == 0
    document = json.loads(data[20 : 20 + size])
    size_of_blob, kind = struct.unpack_from("<I4s", data, 20 + size)
    assert kind == b"BIN\0"
    assert document["buffers"] == [{"byteLength": size_of_blob}]
    assert 20 + size + 8 + size_of_blob == len(data)
    for view in document["bufferViews"]:
        assert view["byteOffset"] % 4 == 0


def test_the_stack_of_two_risers(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The recipe's calculation by hand: tips at 16 mm, the meter's top at 106, the upper plate at 122; all clear."""
    made = assemble(find_assembly("riser_stack"), tmp_path, rise="14 mm")
    assert made.ok
    items = {item.name: item for item in made.assembly.items}
    assert items["lower_seat"].at("lug[1].tip.upper").origin[2] == pytest.approx(16)
    assert items["meter"].at("top").origin[2] == pytest.approx(106)
    assert box_of(items["upper_seat"])[1][2] == pytest.approx(122)
    assert [(row.part, row.count) for row in made.bill] == [("ring_riser", 2), ("meter", 1), ("bolt", 8)]
    assert made.assembly.centroid[0] == pytest.approx(0)
    assert made.assembly.centroid[2] == pytest.approx(61)  # the same from either end
    reference = f"{ROOT / 'recipes' / 'assemblies' / 'riser_stack.py'}:riser_stack"
    trimesh = pytest.importorskip("trimesh", reason="trimesh is one of our own requirements")
    fine = len(trimesh.load(tmp_path / "riser_stack.glb").geometry["meter"].faces)
    coarse = ["--chord", "1mm"]
    assert main(["assemble", reference, "--out", str(tmp_path), *coarse, "--set", "lug_count=3"]) == 0
    said = capsys.readouterr().out
    assert "6 x bolt" in said
    assert "-0.00" not in said
    # A chord of height h spans an angle that grows as the root of h: 20 times coarser, some 4 times fewer sides.
    assert len(trimesh.load(tmp_path / "riser_stack.glb").geometry["meter"].faces) < fine / 2
    assert main(["assemble", reference, "--chord", "0"]) == 2
    assert len((tmp_path / "riser_stack-bill.csv").read_text().splitlines()) == 5


def test_nothing_reaches_below_the_floor_or_above_the_top() -> None:
    """The lower seat's plate lies on z = 0, the upper one's is 8 + 2 mm above the meter's top: 10 + 90 + 10."""
    boxes = [box_of(item) for item in find_assembly("riser_stack")(rise=8).items]
    assert min(low[2] for low, _ in boxes) == pytest.approx(0, abs=1e-9)
    assert max(high[2] for _, high in boxes) == pytest.approx(110)


def test_refusals(tmp_path: Path) -> None:
    """No such frame, nothing, two of one name, no cylinder, no such assembly, something else given back."""
    with pytest.raises(InputError, match=r"there are: .*foot_hole\[1\]\.upper"):
        Placed("one", bracket()).at("foot_hole")
    with pytest.raises(InputError, match="nothing"):
        Assembly("empty", ())
    with pytest.raises(InputError, match="this name"):
        Assembly("two", (Placed("a", BOLT), Placed("a", SPACER)))
    with pytest.raises(InputError, match="gap = nan mm: not a finite number"):
        place(BOLT, "top", Frame(), gap=math.nan)
    for steps, bore in ((), 0), (((5, 0),), 0), (((5, 3),), 5), (((5, 3), (5, 4)), 0):
        with pytest.raises(InputError, match="steps"):
            Turned("bad", steps, bore=bore)
    for steps, said in ((None, "steps = None"), ("5x3", "steps = 5x3"), ((("5 mm", "x"),), "length = x")):
        with pytest.raises(InputError, match=said):
            Turned("bad", steps)  # type: ignore[arg-type]
    for item in (bracket(), Placed("part", None)):  # type: ignore[arg-type]
        with pytest.raises(InputError, match="not a placed part"):
            Assembly("of anything", (item,))  # type: ignore[arg-type]
    for reference in ("no_such_stack", "../ring_riser", "../assemblies/riser_stack", f"{tmp_path}/none.py:x"):
        with pytest.raises(InputError, match="riser_stack"):
            find_assembly(reference)
    with pytest.raises(InputError, match="schema"):
        write_assembly_step(stack(), tmp_path / "a.step", schema="AP203")

    @assembly_recipe
    def wrong() -> Assembly:
        """Gives back a part."""
        return bracket()  # type: ignore[return-value]

    with pytest.raises(InputError, match="an Assembly is wanted"):
        wrong()
