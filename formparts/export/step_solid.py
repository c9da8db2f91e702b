"""
A solid as the text of a STEP file, written from its planes, cylinders, lines, circles and splines.

The kernel's own writer gives the same text, letter for letter, and takes time with the square of a face's openings.
Solids with other surfaces or curves are left to it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime
from typing import Any, Final

from formparts.body.frame import Vector
from formparts.export.step_lines import Numbered, real, string, wrapped
from formparts.kernel import mapped
from formparts.solids import Solid

Colour = tuple[float, float, float]

_SCHEMAS: Final = {
    "AP214": (
        "'AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'",
        "'automotive_design',2000",
        "'core data for automotive mechanical design processes'",
    ),
    "AP242": (
        "\n'AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF {1 0 10303 442 1 1 4 }'\n    ",
        "'ap242_managed_model_based_3d_engineering',2013",
        "'Managed model based 3d engineering'",
    ),
}
"""By application protocol: its schema, its name and year, and its context (ISO 10303-214 and -242)."""


class NotPlainError(Exception):
    """A solid has a surface or curve that this writer does not support."""


def solid_text(solid: Solid, file_name: str, schema: str, colour: Colour, date: datetime) -> bytes:
    """
    The whole file, letters beyond ASCII as UTF-8.

    Raises
    ------
    NotPlainError
        The solid has a face or an edge of another kind, or one that runs all round.
    """
    written = _Writing(solid)
    written.product(solid.name, schema)
    written.style(colour)
    text = _header(solid.name, file_name, _SCHEMAS[schema][0], date) + written.out.lines() + _END
    return text.encode("latin-1")


_END: Final = "ENDSEC;\nEND-ISO-10303-21;\n"


def _header(name: str, file_name: str, schema: str, date: datetime) -> str:
    """Return what comes before the data."""
    stamp = date.strftime("%Y-%m-%dT%H:%M:%S")
    return (
        "ISO-10303-21;\nHEADER;\n"
        + wrapped(f"FILE_DESCRIPTION(({string(name)}),'2;1');")
        + "\n"
        + wrapped(f"FILE_NAME({string(file_name)},'{stamp}',(''),(''),'formparts','formparts','');")
        + f"\nFILE_SCHEMA(({schema}));\nENDSEC;\nDATA;\n"
    )


class _Writing:
    """Entities of one solid; each vertex and edge is written where it is met first."""

    def __init__(self, solid: Solid) -> None:
        from OCP.BRep import BRep_Tool
        from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_FORWARD, TopAbs_VERTEX
        from OCP.TopoDS import TopoDS, TopoDS_Iterator

        self.out = Numbered()
        self.kernel, self.parts_of, self.forward, self.cast = (
            BRep_Tool,
            TopoDS_Iterator,
            TopAbs_FORWARD,
            TopoDS,
        )
        self.solid = solid
        faces = self.faces = mapped(solid.shape, TopAbs_FACE)
        self.names = {faces.FindIndex(face): name for name, face in solid.faces.items()}
        if len(self.names) != len(solid.faces) or 0 in self.names:
            raise NotPlainError("a named face does not belong to the solid")
        self.edges, self.vertices = mapped(solid.shape, TopAbs_EDGE), mapped(solid.shape, TopAbs_VERTEX)
        self.edge_numbers: dict[int, int] = {}
        self.ends: dict[int, tuple[int, int]] = {}
        self.vertex_numbers: dict[int, int] = {}
        self.context = 0

    def product(self, name: str, schema: str) -> None:
        """The product, what it is defined by, and its shape."""
        add, called = self.out.add, string(name)
        _, protocol, context = _SCHEMAS[schema]
        add(f"APPLICATION_PROTOCOL_DEFINITION('international standard',{protocol},#2)")
        add(f"APPLICATION_CONTEXT({context})")
        add("SHAPE_DEFINITION_REPRESENTATION(#4,#10)")
        add("PRODUCT_DEFINITION_SHAPE('','',#5)")
        add("PRODUCT_DEFINITION('design','',#6,#9)")
        add("PRODUCT_DEFINITION_FORMATION('','',#7)")
        add(f"PRODUCT({called},{called},'',(#8))")
        add("PRODUCT_CONTEXT('',#2,'mechanical')")
        add("PRODUCT_DEFINITION_CONTEXT('part definition',#2,'design')")
        representation = self.out.take()
        self._axes((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, -0.0))
        body, shell = self.out.take(), self.out.take()
        self.out.put(body, f"MANIFOLD_SOLID_BREP({called},#{shell})")
        self.out.put(shell, f"CLOSED_SHELL('',({_listed(self._faces())}))")
        self.context = len(self.out.texts) + 1
        self.out.put(representation, f"ADVANCED_BREP_SHAPE_REPRESENTATION('',(#11,#{body}),#{self.context})")

    def style(self, colour: Colour) -> None:
        """Units, and the colour of the whole."""
        from OCP.Quantity import Quantity_Color, Quantity_TOC_sRGB

        at, add = self.context, self.out.add
        shown = Quantity_Color(*colour, Quantity_TOC_sRGB).Values(Quantity_TOC_sRGB)
        add(_CONTEXT.format(unit=at + 1, angle=at + 2, solid_angle=at + 3, uncertainty=at + 4))
        add("( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) )")
        add("( NAMED_UNIT(*) PLANE_ANGLE_UNIT() SI_UNIT($,.RADIAN.) )")
        add("( NAMED_UNIT(*) SI_UNIT($,.STERADIAN.) SOLID_ANGLE_UNIT() )")
        add(
            f"UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-07),#{at + 1},"
            "'distance_accuracy_value','confusion accuracy')"
        )
        add("PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,(#7))")
        add(f"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(#{at + 7}),#{at})")
        add(f"STYLED_ITEM('color',(#{at + 8}),#15)")
        add(f"PRESENTATION_STYLE_ASSIGNMENT((#{at + 9}))")
        add(f"SURFACE_STYLE_USAGE(.BOTH.,#{at + 10})")
        add(f"SURFACE_SIDE_STYLE('',(#{at + 11}))")
        add(f"SURFACE_STYLE_FILL_AREA(#{at + 12})")
        add(f"FILL_AREA_STYLE('',(#{at + 13}))")
        add(f"FILL_AREA_STYLE_COLOUR('',#{at + 14})")
        add(f"COLOUR_RGB('',{','.join(map(real, shown))})")

    def _faces(self) -> list[int]:
        """All faces in the order of the shell."""
        faces = self.faces
        return [self._face(faces.FindKey(number), number) for number in range(1, faces.Extent() + 1)]

    def _face(self, face: Any, place: int) -> int:
        out, number = self.out, self.out.take()
        outward = ".T." if face.Orientation() == self.forward else ".F."
        bounds, walk = [], self.parts_of(face, False)
        while walk.More():
            bounds.append(self._bound(walk.Value(), outward))
            walk.Next()
        surface = self._surface(self.kernel.Surface_s(self.cast.Face_s(face)))
        called = string(self.names.get(place, ""))
        return out.put(number, f"ADVANCED_FACE({called},({_listed(bounds)}),#{surface},{outward})")

    def _bound(self, wire: Any, outward: str) -> int:
        out = self.out
        bound, loop, walk = out.take(), out.take(), self.parts_of(wire, False)
        uses: list[tuple[Any, int, bool]] = []
        while walk.More():
            edge = walk.Value()
            uses.append((edge, self.edges.FindIndex(edge), edge.Orientation() == self.forward))
            walk.Next()
        made = [self._use(*use) for use in self._in_turn(uses)]
        out.put(loop, f"EDGE_LOOP('',({_listed(made)}))")
        return out.put(bound, f"FACE_BOUND('',#{loop},{outward})")

    def _in_turn(self, uses: list[tuple[Any, int, bool]]) -> list[tuple[Any, int, bool]]:
        """Return the edges of a loop in order, from the first on."""
        ends = {index: self._ends(edge, index) for edge, index, _ in uses}
        begins = {ends[index][0 if along else 1]: (edge, index, along) for edge, index, along in uses}
        if len(begins) != len(uses):
            raise NotPlainError("a loop meets itself")
        found = [uses[0]]
        while len(found) < len(uses):
            _, index, along = found[-1]
            following = begins.get(ends[index][1 if along else 0])
            if following is None or following is uses[0]:
                raise NotPlainError("a loop is not closed")
            found.append(following)
        return found

    def _ends(self, edge: Any, index: int) -> tuple[int, int]:
        """The kernel's numbers of the vertices of an edge."""
        known = self.ends.get(index)
        if known is None:
            walk, found = self.parts_of(edge, False), {}
            while walk.More():
                vertex = walk.Value()
                found[vertex.Orientation() == self.forward] = self.vertices.FindIndex(vertex)
                walk.Next()
            known = found.get(True, 0), found.get(False, 0)
            if known[0] == known[1] or 0 in known:
                raise NotPlainError("an edge runs all round")
            self.ends[index] = known
        return known

    def _use(self, edge: Any, index: int, along: bool) -> int:
        number = self.out.take()
        curve = self.edge_numbers.get(index) or self._edge(edge, index)
        return self.out.put(number, f"ORIENTED_EDGE('',*,*,#{curve},{'.T.' if along else '.F.'})")

    def _edge(self, edge: Any, index: int) -> int:
        number = self.edge_numbers[index] = self.out.take()
        first, last = (self._vertex(vertex) for vertex in self._ends(edge, index))
        curve = self._curve(self.kernel.Curve_s(self.cast.Edge_s(edge), 0.0, 0.0))
        return self.out.put(number, f"EDGE_CURVE('',#{first},#{last},#{curve},.T.)")

    def _vertex(self, index: int) -> int:
        number = self.vertex_numbers.get(index)
        if number is None:
            number = self.vertex_numbers[index] = self.out.take()
            place = self.kernel.Pnt_s(self.cast.Vertex_s(self.vertices.FindKey(index)))
            self.out.put(number, f"VERTEX_POINT('',#{self._point(place)})")
        return number

    def _curve(self, curve: Any) -> int:
        kind, out = type(curve).__name__, self.out
        if kind == "Geom_Line":
            number, axis = out.take(), curve.Position()
            start = self._point(axis.Location())
            vector = out.take()
            along = out.add(f"DIRECTION('',({_reals(_of_length_one(_parts(axis.Direction())))}))")
            out.put(vector, f"VECTOR('',#{along},1.)")
            return out.put(number, f"LINE('',#{start},#{vector})")
        if kind == "Geom_Circle":
            number = out.take()
            axes = curve.Position()
            main = axes.XDirection().Crossed(axes.YDirection())
            return out.put(number, f"CIRCLE('',#{self._placed(axes, main)},{real(curve.Radius())})")
        if kind == "Geom_BSplineCurve" and not curve.IsRational():
            return self._spline(curve)
        raise NotPlainError(kind)

    def _surface(self, surface: Any) -> int:
        kind, out = type(surface).__name__, self.out
        if kind in ("Geom_Plane", "Geom_CylindricalSurface") and surface.Position().Direct():
            number = out.take()
            axes = self._placed(surface.Position(), surface.Position().Direction())
            if kind == "Geom_Plane":
                return out.put(number, f"PLANE('',#{axes})")
            return out.put(number, f"CYLINDRICAL_SURFACE('',#{axes},{real(surface.Radius())})")
        if kind == "Geom_BSplineSurface" and not (surface.IsURational() or surface.IsVRational()):
            return self._spline_surface(surface)
        raise NotPlainError(kind)

    def _spline(self, curve: Any) -> int:
        number = self.out.take()
        poles = [self._point(curve.Pole(place)) for place in range(1, curve.NbPoles() + 1)]
        many, knots = _knots(curve, "")
        form = _FORMS[curve.KnotDistribution().name]
        return self.out.put(
            number,
            f"B_SPLINE_CURVE_WITH_KNOTS('',{curve.Degree()},({_listed(poles)}),.UNSPECIFIED.,.F.,.F.,"
            f"({many}),({knots}),{form})",
        )

    def _spline_surface(self, surface: Any) -> int:
        number = self.out.take()
        rows = [
            [self._point(surface.Pole(row, place)) for place in range(1, surface.NbVPoles() + 1)]
            for row in range(1, surface.NbUPoles() + 1)
        ]
        listed = "\n,".join(f"({_listed(row)})" for row in rows)[:-1]
        (u_many, u_knots), (v_many, v_knots) = _knots(surface, "U"), _knots(surface, "V")
        forms = {_FORMS[getattr(surface, f"{way}KnotDistribution")().name] for way in "UV"}
        return self.out.put(
            number,
            f"B_SPLINE_SURFACE_WITH_KNOTS('',{surface.UDegree()},{surface.VDegree()},(\n{listed}\n)),"
            f".UNSPECIFIED.,.F.,.F.,.F.,({u_many}),({v_many}),({u_knots}),({v_knots}),"
            f"{forms.pop() if len(forms) == 1 else '.UNSPECIFIED.'})",
        )

    def _placed(self, axes: Any, main: Any) -> int:
        """Axes of the kernel, with this for their z."""
        return self._axes(_parts(axes.Location()), _parts(main), _parts(axes.XDirection()))

    def _axes(self, origin: Vector, main: Vector, x: Vector) -> int:
        out = self.out
        number = out.take()
        place = out.add(f"CARTESIAN_POINT('',({_reals(origin)}))")
        up, along = out.add(f"DIRECTION('',({_reals(main)}))"), out.add(f"DIRECTION('',({_reals(x)}))")
        return out.put(number, f"AXIS2_PLACEMENT_3D('',#{place},#{up},#{along})")

    def _point(self, point: Any) -> int:
        return self.out.add(f"CARTESIAN_POINT('',({_reals(_parts(point))}))")


_CONTEXT: Final = (
    "( GEOMETRIC_REPRESENTATION_CONTEXT(3) GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#{uncertainty})) "
    "GLOBAL_UNIT_ASSIGNED_CONTEXT((#{unit},#{angle},#{solid_angle})) "
    "REPRESENTATION_CONTEXT('Context #1','3D Context with UNIT and UNCERTAINTY') )"
)
_FORMS: Final = {
    "GeomAbs_NonUniform": ".UNSPECIFIED.",
    "GeomAbs_Uniform": ".UNIFORM_KNOTS.",
    "GeomAbs_QuasiUniform": ".QUASI_UNIFORM_KNOTS.",
    "GeomAbs_PiecewiseBezier": ".PIECEWISE_BEZIER_KNOTS.",
}


def _listed(numbers: Sequence[int]) -> str:
    return ",".join([f"#{number}" for number in numbers])


def _parts(place: Any) -> Vector:
    return place.X(), place.Y(), place.Z()


def _of_length_one(way: Vector) -> Vector:
    """Normalise once more, as the kernel does: it changes a last digit here and there."""
    x, y, z = way
    length = math.sqrt(x * x + y * y + z * z)
    return x / length, y / length, z / length


def _reals(values: Vector) -> str:
    return ",".join([real(value) for value in values])


def _knots(spline: Any, way: str) -> tuple[str, str]:
    """Return multiplicities and knots, of a curve or of one direction of a surface."""
    places = range(1, getattr(spline, f"Nb{way}Knots")() + 1)
    many = ",".join(str(getattr(spline, f"{way}Multiplicity")(place)) for place in places)
    return many, ",".join(real(getattr(spline, f"{way}Knot")(place)) for place in places)
