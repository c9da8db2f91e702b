"""`python -m tests.benchmarks fea`: our meshes against an independent mesh of the STEP file, and their quality.

The referee is Gmsh, which meshes the STEP file with tetrahedra of second order; CalculiX solves both. Gmsh does not
read the names of faces: they are found by their area and centre. Displacement, first frequency and the greatest von
Mises stress in a named flat are given as ratios, formparts' by the referee's.
"""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from formparts.body import Body
from formparts.export import write_step
from formparts.fea import LoadCase, mesh_of, read_load, solved
from formparts.fea.frd import read_results
from formparts.fea.loads import node_sets
from formparts.fea.names import named
from formparts.fea.quality import quality
from formparts.fea.solver import _eigenvalues
from formparts.fea.stress import von_mises
from formparts.recipe_functions import find_recipe, recipes
from formparts.solids import Solid, solid
from tests.referees import gmsh_session


@dataclass(frozen=True)
class Trial:
    """A recipe with what holds it, what loads it, and the flat whose stress is compared."""

    recipe: str
    fix: str
    load: str
    force: float
    flat: str
    size: float


FINE = 0.4
"""Thicknesses: the referee's elements round the flat whose stress is compared."""
TRIALS = (
    Trial("ring_riser", "ear_*.hole.wall*", "lug[*].tip.upper", 500.0, "lug[1].slope", 4.0),
    Trial("stepped_seat", "screw_hole[*].wall*", "lug[*].tip.upper", 60.0, "lug[1].slope", 2.5),
)


def run() -> Iterator[dict[str, Any]]:
    """Both trials with shells and bricks, then the quality of every shipped recipe's mesh."""
    for trial in TRIALS:
        yield from _against_gmsh(trial)
    for recipe in recipes():
        for kind in ("shell", "solid", "bricks"):
            mesh = mesh_of(recipe(), kind, layers=1)
            yield {
                "fea": recipe.name,
                "kind": kind,
                "nodes": len(mesh.nodes),
                "scaled_jacobian": quality(mesh),
            }


def _against_gmsh(trial: Trial) -> Iterator[dict[str, Any]]:
    body = find_recipe(trial.recipe)()
    nodes, referee = _referee(body, trial)
    for kind, size in (("shell", trial.size), ("bricks", trial.size)):
        mesh = mesh_of(body, kind, size)
        load = read_load(f"{trial.load}={trial.force}N@0,0,-1")
        answer = solved(mesh, LoadCase((trial.fix,), (load,)))
        modes = solved(mesh, LoadCase((trial.fix,), (), 1))
        flat = node_sets(mesh)[f"{trial.flat}.upper"]
        ours = {
            "displacement": float(np.linalg.norm(answer.displacements, axis=1).max()),
            "frequency": modes.frequencies[0],
            "stress": float(von_mises(answer.stress[flat])[:, -1].max()),
        }
        yield {
            "fea": trial.recipe, "kind": kind, "nodes": len(mesh.nodes), "nodes_of_referee": nodes,
            **{f"{name}_ratio": round(ours[name] / referee[name], 4) for name in ours},
        }  # fmt: skip


def _referee(body: Body, trial: Trial) -> tuple[int, dict[str, float]]:
    """The same by a mesh of others: number of its nodes, and the figures."""
    made = solid(body)
    with tempfile.TemporaryDirectory() as folder, gmsh_session() as gmsh:
        gmsh.model.occ.importShapes(str(write_step(made, Path(folder) / "part.step")))
        gmsh.model.occ.synchronize()
        gmsh.option.setNumber("Mesh.MeshSizeMax", trial.size)
        gmsh.option.setNumber("Mesh.MeshSizeFromCurvature", 12)
        _finer_at(gmsh, made.faces[f"{trial.flat}.upper"], body.sheet.thickness * FINE, trial.size)
        gmsh.option.setNumber("Mesh.ElementOrder", 2)
        gmsh.option.setNumber("Mesh.SecondOrderLinear", 0)
        gmsh.model.mesh.generate(3)
        numbers, places, _ = gmsh.model.mesh.getNodes()
        points = np.zeros((int(numbers.max()) + 1, 3))
        points[numbers.astype(int)] = places.reshape(-1, 3)
        cells = np.concatenate([c.reshape(-1, 10) for c in gmsh.model.mesh.getElements(3)[2]]).astype(int)
        cells = cells[:, [0, 1, 2, 3, 4, 5, 6, 7, 9, 8]]
        tags = _tags(gmsh, made)
        names = list(made.faces)
        held = _nodes(gmsh, [tags[name] for name in named(names, trial.fix, body.name, "fix")])
        pressed = [tags[name] for name in named(names, trial.load, body.name, "load")]
        pushed = _spread(gmsh, points, pressed, trial.force)
        flat = _nodes(gmsh, [tags[f"{trial.flat}.upper"]])
        used = np.unique(cells)
        head = _head(body, points, cells, used, held)
        cload = "".join(f"{n}, 3, {-f:.9g}\n" for n, f in enumerate(pushed) if f)
        static = f"*STEP\n*STATIC\n*CLOAD\n{cload}*NODE FILE\nU\n*EL FILE\nS\n*END STEP\n"
        found = _solve(Path(folder), "static", head + static)
        rows = found.rows(flat)
        modes = "*STEP\n*FREQUENCY\n1\n*NODE FILE\nU\n*END STEP\n"
        _solve(Path(folder), "modes", head + modes)
        first = _eigenvalues((Path(folder) / "modes.dat").read_text())[0]
        return len(used), {
            "displacement": float(np.linalg.norm(found.steps[0]["DISP"], axis=1).max()),
            "stress": float(von_mises(found.steps[0]["STRESS"][rows]).max()),
            "frequency": first,
        }


def _finer_at(gmsh: Any, face: Any, fine: float, coarse: float) -> None:
    """Short elements round the flat whose stress is compared: the peak of a coarse mesh is noise (5 % here)."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.Add_s(face, box)
    room = gmsh.model.mesh.field.add("Box")
    corners = zip(("XMin", "YMin", "ZMin", "XMax", "YMax", "ZMax"), box.Get(), strict=True)
    for name, value in (*corners, ("VIn", fine), ("VOut", coarse), ("Thickness", 2.0 * coarse)):
        gmsh.model.mesh.field.setNumber(room, name, value)
    gmsh.model.mesh.field.setAsBackgroundMesh(room)


def _tags(gmsh: Any, made: Solid) -> dict[str, int]:
    """Gmsh's number for every named face, by centre and area; two alike would be an error."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    theirs = {tag: (*gmsh.model.occ.getCenterOfMass(2, tag), gmsh.model.occ.getMass(2, tag))
              for _, tag in gmsh.model.getEntities(2)}  # fmt: skip
    found = {}
    for name, face in made.faces.items():
        figures = GProp_GProps()
        BRepGProp.SurfaceProperties_s(face, figures)
        centre = figures.CentreOfMass()
        own = (centre.X(), centre.Y(), centre.Z(), figures.Mass())
        (tag,) = (tag for tag, figure in theirs.items() if np.allclose(figure, own, atol=1e-4, rtol=1e-6))
        found[name] = tag
    return found


def _nodes(gmsh: Any, tags: Sequence[int]) -> np.ndarray:
    return np.unique(
        np.concatenate([gmsh.model.mesh.getNodes(2, tag, includeBoundary=True)[0] for tag in tags]).astype(
            int
        )
    )


def _spread(gmsh: Any, points: np.ndarray, tags: Sequence[int], force: float) -> np.ndarray:
    """A force spread evenly over faces of straight triangles of six nodes: a third of each goes to each middle node."""
    shares = np.zeros(len(points))
    for tag in tags:
        faces = np.concatenate([f.reshape(-1, 6) for f in gmsh.model.mesh.getElements(2, tag)[2]]).astype(int)
        a, b, c = (points[faces[:, i]] for i in range(3))
        area = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2
        np.add.at(shares, faces[:, 3:], (area / 3)[:, None])
    return shares * force / shares.sum()


def _head(body: Body, points: np.ndarray, cells: np.ndarray, used: np.ndarray, held: np.ndarray) -> str:
    material = body.sheet.material
    lines = [
        "*NODE, NSET=ALL",
        *(f"{n}, {x:.10g}, {y:.10g}, {z:.10g}" for n, (x, y, z) in zip(used, points[used], strict=True)),
    ]
    lines += ["*ELEMENT, TYPE=C3D10, ELSET=ALL"]
    lines += [", ".join(map(str, (number, *cell))) for number, cell in enumerate(cells.tolist(), 1)]
    lines += ["*NSET, NSET=HELD", *(f"{n}," for n in held), "*MATERIAL, NAME=M", "*ELASTIC"]
    lines += [f"{material.modulus}, {material.poisson}", "*DENSITY", f"{material.density * 1e-12:.6g}"]
    return "\n".join([*lines, "*SOLID SECTION, ELSET=ALL, MATERIAL=M", "*BOUNDARY", "HELD, 1, 3", ""])


def _solve(folder: Path, name: str, text: str) -> Any:
    (folder / f"{name}.inp").write_text(text)
    subprocess.run(["ccx", name], cwd=folder, capture_output=True, check=True)
    return read_results(folder / f"{name}.frd")
