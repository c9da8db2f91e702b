"""Random bodies that can be made: drawn as a base and small steps (`growing`), so that a failure shrinks to few."""

from __future__ import annotations

from hypothesis import strategies as st

from formparts.body import Body, Sheet
from formparts.materials import known_materials
from formparts.outline import disc, obround, polygon, rectangle, ring
from formparts.shapes import (
    Axis,
    Hole,
    Relief,
    Tip,
    Turn,
    bead,
    clearance_hole,
    louvre,
    pierced,
    pressed,
    tapped,
)
from formparts.shapes.hems import KINDS as HEM_KINDS
from formparts.shapes.profiles import DATUMS, Datum
from tests.growing import (
    Across,
    Curl,
    Cutout,
    Doubled,
    Flange,
    Growth,
    Hem,
    Joggle,
    Marked,
    Plate,
    Ring,
    Row,
    Stand,
    Step,
    Strip,
    Sunk,
    Tongue,
    grown,
)
from tests.growing_formed import (
    Arrayed,
    Boxed,
    Collared,
    Drilled,
    Folded,
    Holed,
    Perforated,
    Pressed,
    Rounded,
    SetOff,
    Shaped,
    Tabbed,
)

RULES = (
    "K 0.44",
    "K 0.33",
    "K 0",
    "K 1",
    "DIN 6935",
    "Groover",
    "Machinery's Handbook medium",
    "aircraft handbook",
)
SIDES = st.sampled_from(("up", "down"))
DATUM = st.sampled_from(DATUMS)


def figures(low: float, high: float) -> st.SearchStrategy[float]:
    """A dimension to a thousandth, as drawings and worse have them; every second one to a half, so that edges meet."""
    fine = st.integers(round(low * 1000), round(high * 1000)).map(lambda thousandths: thousandths / 1000)
    coarse = st.integers(-int(-low * 2 // 1), int(high * 2)).map(lambda halves: halves / 2)
    return coarse | fine if int(high * 2) >= -int(-low * 2 // 1) else fine


SHARES = st.sampled_from((0.5, 0.0, 1.0, 0.25)) | figures(0, 1)
RADII = st.none() | st.none() | figures(0.3, 8) | figures(0.3, 8) | figures(8, 80)
ANGLES = st.sampled_from((90.0, 45.0, 30.0, 60.0, 135.0, 170.0)) | figures(0.5, 170)
MANY = st.integers(0, 11)


@st.composite
def sheets(draw: st.DrawFn) -> Sheet:
    """Thin and thick stock, tight and wide radii, every material and rule."""
    thickness, name = draw(figures(0.3, 6)), draw(st.sampled_from([one.name for one in known_materials()]))
    return Sheet(thickness, draw(figures(0.3, 8)), name, draw(st.sampled_from(RULES)))


@st.composite
def strips(draw: st.DrawFn, most: int = 4) -> Strip:
    """Up to five runs, each given to a datum of its own at either end; any root."""
    turns = draw(st.lists(st.builds(Turn, ANGLES, SIDES, RADII), max_size=most))
    many = len(turns) + 1
    straights = draw(st.lists(figures(1, 40), min_size=many, max_size=many))
    datums = draw(st.lists(st.tuples(DATUM, DATUM), min_size=many, max_size=many))
    return Strip(
        draw(figures(2, 90)), tuple(straights), tuple(turns), tuple(datums), draw(st.integers(1, many))
    )


@st.composite
def chains(draw: st.DrawFn) -> Strip:
    """A corrugated strip of 20 to 60 bends at awkward angles, back in its direction at every fourth."""
    waves = draw(st.integers(5, 15))
    angle = draw(st.sampled_from((60.0, 70.0, 120.0, 37.3)) | figures(20, 120))
    turns = tuple(Turn(angle, side, None) for _ in range(waves) for side in ("up", "down", "down", "up"))
    straights = tuple(draw(figures(12, 40)) for _ in range(4)) * waves
    many = len(turns) + 1
    datum: Datum = "tangent line"
    return Strip(
        draw(figures(10, 90)),
        (*straights, straights[0]),
        turns,
        ((datum, datum),) * many,
        draw(st.integers(1, many)),
    )


@st.composite
def plates(draw: st.DrawFn) -> Plate:
    """Rectangles, with sharp, round and cut corners; discs, rings, frames, and a shape with a re-entrant corner."""
    x, y = draw(figures(60, 160)), draw(figures(60, 160))
    kind = draw(st.integers(0, 6))
    if kind < 2:
        return Plate(rectangle(x, y, 0.0 if kind == 0 else draw(figures(1, 20))))
    if kind == 2:
        return Plate(disc(x))
    if kind == 3:
        return Plate(ring(x, draw(figures(20, 50))))
    if kind == 4:
        return Plate(
            pierced(rectangle(x, y), draw(st.sampled_from((disc(40), rectangle(40, 30), obround(50, 20)))))
        )
    if kind == 5:
        return Plate(pierced(rectangle(x, y), rectangle(x - 40, y - 40, draw(figures(1, 9)))))
    corners = [(0.0, 0.0), (x, 0.0), (x, y), (x / 2, y), (x / 2, y / 2), (0.0, y / 2)]
    return Plate(polygon(corners, chamfers=draw(st.sampled_from((None, (5.0, 0.0, 5.0, 0.0, 0.0, 5.0))))))


OPENINGS = st.one_of(
    figures(2, 20).map(disc),
    st.tuples(figures(11, 20), figures(2, 10)).map(lambda sides: obround(*sides)),
    st.tuples(figures(4, 14), figures(4, 14)).map(lambda sides: rectangle(*sides, 1.5)),
    st.tuples(figures(2, 9), figures(2, 30)).map(lambda sides: rectangle(*sides)),
)
TURNED = st.sampled_from((0.0, 90.0, 45.0)) | figures(0, 180)


def openings() -> st.SearchStrategy[Cutout]:
    return st.builds(Cutout, MANY, OPENINGS, st.tuples(SHARES, SHARES), TURNED, _pitches())


def sunk_holes() -> st.SearchStrategy[Sunk]:
    """Countersinks of the usual angles, and counterbores, from either face."""
    angles, faces = st.sampled_from((0.0, 90.0, 82.0, 120.0)), st.sampled_from(("upper", "lower"))
    place = st.tuples(figures(0.1, 0.9), figures(0.1, 0.9))
    return st.builds(Sunk, MANY, figures(1, 8), figures(0.1, 0.95), angles, faces, place)


def marked() -> st.SearchStrategy[Marked]:
    """Dimples and short texts, on either face."""
    texts, faces = st.sampled_from(("", "A7", "K-1")), st.sampled_from(("upper", "lower"))
    return st.builds(
        Marked, MANY, texts, figures(1, 5), faces, st.tuples(figures(0.1, 0.9), figures(0.1, 0.9))
    )


def across_bends() -> st.SearchStrategy[Across]:
    """In the middle of a bend, beside it, or near its ends."""
    aside = st.just(0.0) | figures(-12, 12)
    return st.builds(Across, MANY, OPENINGS, SHARES, aside, TURNED, _pitches())


def _pitches() -> st.SearchStrategy[tuple[float, ...]]:
    """Positions of those of a row."""
    several = st.tuples(st.integers(2, 4), figures(8, 25)).map(
        lambda row: tuple(n * row[1] for n in range(row[0]))
    )
    return st.just((0.0,)) | several


def tips() -> st.SearchStrategy[Tip]:
    square, round_end = st.just(Tip("square")), st.just(Tip("round"))
    return (
        square
        | square
        | round_end
        | st.builds(Tip, st.sampled_from(("chamfered", "radiused")), figures(0.5, 5))
        | st.builds(Tip, st.just("chamfered"), figures(0.5, 12), figures(0.5, 30))
    )


def flange_ends() -> st.SearchStrategy[Tip | tuple[Tip, Tip]]:
    """One shape for both corners, or one for each: tapers and mitres."""
    corners = tips().filter(lambda one: one.shape != "round")
    return tips() | st.tuples(corners, corners)


HOLES = st.none() | st.none() | st.builds(Hole, figures(1, 6), figures(3, 12))


def flanges(edge_to: str = "tangent line") -> st.SearchStrategy[Flange]:
    """Between reliefs when the bend lies inside the edge; else with or without."""
    notch = st.tuples(figures(0.5, 4), figures(0.1, 5)).map(
        lambda sides: Relief(sides[0], sum(sides) / 2, "round")
    )
    square = st.builds(Relief, figures(0.5, 4), figures(0.1, 5), st.just("square"))
    reliefs = notch | square if edge_to != "tangent line" else st.none() | notch | square
    extends = st.just((0.0, 0.0)) | st.tuples(figures(0, 3), figures(0, 3))
    return st.builds(
        Flange, MANY, MANY, figures(1, 40), st.none() | figures(4, 40), SHARES, ANGLES, SIDES, RADII,
        st.tuples(DATUM, st.just(edge_to)), reliefs, flange_ends(), HOLES, extends,
    )  # fmt: skip


def hems() -> st.SearchStrategy[Hem | Curl]:
    """Hems of each kind and curls, as wide as their edge or narrower."""
    notch = st.none() | st.builds(Relief, figures(0.5, 4), figures(0.1, 5), st.just("square"))
    wide, kinds = st.just(1.0) | figures(0.2, 1), st.sampled_from(HEM_KINDS)
    rules = st.none() | st.none() | st.sampled_from(RULES)
    radii = st.none() | figures(0.3, 6)
    hem = st.builds(Hem, MANY, MANY, kinds, figures(0.5, 15), radii, SHARES, wide, SIDES, notch, rules)
    turns = st.sampled_from((180.0, 270.0, 300.0)) | figures(180, 330)
    return hem | st.builds(Curl, MANY, MANY, figures(1, 20), turns, SHARES, wide, SIDES, notch)


def joggles() -> st.SearchStrategy[Joggle]:
    slopes = st.just(90.0) | figures(15, 90)
    return st.builds(
        Joggle,
        figures(4, 20),
        figures(0.01, 10),
        figures(3, 25),
        figures(1, 15),
        slopes,
        SIDES,
        tips(),
        HOLES,
    )


def steps() -> st.SearchStrategy[Step]:
    tongues = st.builds(Tongue, figures(5, 40), figures(4, 20), tips(), HOLES)
    guests = tongues | joggles() | strips(3)
    inset = st.sampled_from((0.0, 2.0, 5.0, -1.0)) | figures(0, 12)
    rows = st.builds(Row, MANY, MANY, guests, inset, SHARES, st.booleans(), _pitches())
    rings = st.builds(Ring, MANY, MANY, guests, inset, st.integers(1, 8), st.just(0.0) | figures(0, 90))
    doubles = st.builds(
        Doubled, st.sampled_from(("yz", "xz")), st.sampled_from((1.0, 0.0, 0.5)) | figures(0, 1)
    )
    inside = st.one_of(flanges("outside"), flanges("mould line"))
    return st.one_of(flanges(), openings(), rows, inside, rings, openings(), rows, flanges(), doubles)


def pressed_steps() -> st.SearchStrategy[Step]:
    """Those, and hems, curls, openings across bends, sunk holes and marks, and what is formed or drilled."""
    return st.one_of(steps(), steps(), steps(), across_bends(), hems(), sunk_holes() | marked(), formed())


def formed() -> st.SearchStrategy[Step]:
    """Joggles, tabs, holes for screws and nuts, marks, perforations, arrays, and what is drilled in space."""
    place = st.tuples(figures(0.2, 0.8), figures(0.2, 0.8))
    joggled = st.builds(SetOff, MANY, MANY, figures(2, 15), st.none() | figures(0.1, 6), SIDES, st.booleans())
    tabs = st.builds(
        Tabbed,
        MANY,
        figures(1, 8),
        figures(2, 10),
        place,
        TURNED,
        ANGLES,
        SIDES,
        flange_ends(),
        st.tuples(figures(0.1, 2), figures(0.1, 3)),
    )
    faces = st.sampled_from(("upper", "lower"))
    holes = st.builds(Collared, MANY, figures(1, 5), place, faces) | st.builds(
        Drilled, MANY, figures(1, 6), place
    )
    screws = st.sampled_from(("M3", "M4", "M5"))
    fitted = (
        st.builds(clearance_hole, screws) | st.builds(tapped, screws) | st.just(pressed(4.2, "nut M3", 7))
    )
    slits = st.builds(bead, figures(12, 20), figures(2, 6), figures(0.5, 2)) | st.builds(
        louvre, figures(12, 20), figures(2, 6), figures(0.5, 2)
    )
    patterns = st.sampled_from(("staggered", "square"))
    filled = st.builds(Perforated, MANY, figures(2, 6), figures(3, 12), figures(2, 8), patterns)
    shaped = st.builds(Shaped, MANY, MANY, st.tuples(figures(1, 30), figures(1, 30)), ANGLES, SIDES)
    rows = st.just((1, 0.0)) | st.tuples(st.just(2), figures(1, 9))
    tongues = st.builds(Tongue, figures(5, 40), figures(4, 20), tips(), HOLES)
    several = st.integers(2, 4)
    arrays = st.builds(Arrayed, MANY, MANY, tongues | joggles(), figures(0, 8), several, rows)
    kept = st.builds(Holed, MANY, fitted, place) | st.builds(Pressed, MANY, slits, place, faces)
    return joggled | tabs | holes | kept | filled | shaped | arrays | st.builds(Rounded, figures(0.5, 8))


def boxes() -> st.SearchStrategy[Boxed]:
    """Boxes with every kind of corner, with and without a rim; open corners choose their own gap."""
    rims = st.none() | figures(1, 12)
    closed = st.sampled_from(("closed", "overlapping", "mitred"))
    gaps = st.none() | figures(0.1, 1.5)
    sized = (figures(10, 80), figures(10, 80), figures(1, 40))
    return st.builds(Boxed, *sized, closed, rims, gaps) | st.builds(
        Boxed, *sized, st.just("open"), rims, st.none()
    )


def folded() -> st.SearchStrategy[Folded]:
    """Plates and L shapes with one to three lines across them, square or slanted."""
    outlines = plates().map(lambda plain: plain.outline)
    turns = st.lists(st.tuples(figures(1, 20), st.builds(Turn, ANGLES, SIDES, RADII)), min_size=1, max_size=3)
    return st.builds(Folded, outlines, turns.map(tuple), st.just(0.0) | figures(-10, 10))


def stands() -> st.SearchStrategy[Stand]:
    axis = st.builds(Axis, st.just((3.0, 4.0, 5.0)), st.tuples(figures(-1, 1), figures(-1, 1), st.just(1.0)))
    upright = st.just(Axis((0.0, 0.0, 0.0), (1.0, 0.0, 0.0))) | st.just(Axis())
    places = st.tuples(*[figures(-200, 200)] * 3)
    turns = st.sampled_from((0.0, 90.0, 180.0)) | figures(-180, 180)
    return st.just(Stand()) | st.builds(Stand, MANY, st.booleans(), turns, axis | upright, places)


def growths(most: int = 32, pressed: bool = False) -> st.SearchStrategy[Growth]:
    """A base and up to so many steps, of hems and the like too if asked for; few steps are as frequent as many."""
    kinds = pressed_steps() if pressed else steps()
    sizes = (most // 8, most // 4, most // 2, most // 16, most * 3 // 4)
    taken = st.one_of([st.lists(kinds, min_size=size, max_size=min(most, 2 * size)) for size in sizes])
    bases = plates() | plates() | strips()
    return st.builds(
        Growth, sheets(), bases | boxes() | folded() if pressed else bases, taken.map(tuple), stands()
    )


def long_chains() -> st.SearchStrategy[Growth]:
    """Chains with a few openings, flanges and the like, somewhere in space."""
    return st.builds(Growth, sheets(), chains(), st.lists(pressed_steps(), max_size=2).map(tuple), stands())


def bodies(most: int = 32) -> st.SearchStrategy[Body]:
    """Any of these, somewhere in space, perhaps mirrored."""
    return growths(most).map(lambda growth: grown(growth).body)
