"""STEP files in: units, names, and one clear line for everything that is broken, whatever the kernel makes of it."""

from __future__ import annotations

import json
import math
import random
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import cadquery as cq
import pytest

from formparts.errors import InputError
from formparts.kernel import settings, silence
from formparts.unfolder import read_solid, step, step_child, unfold
from formparts.unfolder.part21 import checked_text
from tests.unfolder.foreign import by_k, filleted_angle

DATA = re.compile(r"(?<=DATA;\n).*?(?=ENDSEC;\nEND-ISO)", re.DOTALL)


def written(shape: cq.Shape, path: Path, unit: str = "MM") -> Path:
    """The shape as the kernel's plain writer puts it down."""
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

    with silence(), settings(write_step_unit=unit):
        writer = STEPControl_Writer()
        writer.Transfer(shape.wrapped, STEPControl_AsIs)
        writer.Write(str(path))
    return path


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The text of a sound file: an angle of 2 mm."""
    return written(filleted_angle().val(), tmp_path_factory.mktemp("step") / "angle.step").read_text(
        "latin-1"
    )


def test_a_sound_file_is_read_and_unfolded(sound: str, tmp_path: Path) -> None:
    """Volume 80 x (70 + 2 pi), as in memory; the unit is named."""
    path = tmp_path / "angle.step"
    path.write_text(sound, "latin-1")
    found = read_solid(path)
    assert (found.name, found.unit) == ("angle", "millimetre")
    assert unfold(found, by_k).volume == pytest.approx(80 * (70 + 2 * 3.141592653589793), rel=1e-9)


def test_a_very_small_part_is_a_part(tmp_path: Path) -> None:
    """A shim of 0.6 x 0.5 mm, 0.05 mm thick."""
    found = unfold(
        read_solid(written(cq.Workplane().box(0.6, 0.5, 0.05).val(), tmp_path / "shim.step")), by_k
    )
    assert found.blank.area == pytest.approx(0.3, rel=1e-9)


def test_a_speck_is_no_part(tmp_path: Path) -> None:
    """A cube of half a thousandth of a millimetre: the file must have been meant in metres, or inches of inches."""
    with pytest.raises(InputError, match=r"size = 0\.000866.* mm: is not the size of a sheet part"):
        read_solid(written(cq.Workplane().box(5e-4, 5e-4, 5e-4).val(), tmp_path / "speck.step"))


def test_names_of_faces_come_with_the_file(sound: str, tmp_path: Path) -> None:
    """A face that the file names "Träger.upper" names its flat; wide characters are those of ISO 10303-21."""
    path = tmp_path / "named.step"
    path.write_text(
        sound.replace("ADVANCED_FACE(''", r"ADVANCED_FACE('Tr\X2\00E4\X0\ger.upper'", 1), "latin-1"
    )
    assert list(read_solid(path).faces) == ["Träger.upper"]


def test_faces_with_a_colour_and_no_name_are_read(tmp_path: Path) -> None:
    """The kernel has a label for each of them, and goes down when one without a name is asked for it."""
    from OCP.Quantity import Quantity_Color, Quantity_NOC_RED
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_ColorSurf, XCAFDoc_DocumentTool

    path, document = tmp_path / "red.step", TDocStd_Document(TCollection_ExtendedString("test"))
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    part = filleted_angle().val()
    label = shapes.AddShape(part.wrapped, False)
    for face in part.Faces()[:2]:
        painted = shapes.AddSubShape(label, face.wrapped)
        XCAFDoc_DocumentTool.ColorTool_s(document.Main()).SetColor(
            painted, Quantity_Color(Quantity_NOC_RED), XCAFDoc_ColorSurf
        )
    with silence(), settings(write_step_unit="MM"):
        writer = STEPCAFControl_Writer()
        writer.SetColorMode(True)
        writer.Transfer(document)
        writer.Write(str(path))
    assert path.read_text("latin-1").count("STYLED_ITEM") >= 2
    found = read_solid(path)
    assert found.faces == {}
    assert unfold(found, by_k).volume == pytest.approx(80 * (70 + 2 * math.pi), rel=1e-9)


@pytest.mark.parametrize("count", [1, 0])
@pytest.mark.parametrize("what", ["ADVANCED_FACE", "FACE_OUTER_BOUND|FACE_BOUND"])
def test_faces_that_look_the_wrong_way_are_turned(what: str, count: int, sound: str, tmp_path: Path) -> None:
    """The sense of the first face or loop is turned round, or that of all: healed, it is the angle that it was."""
    path = tmp_path / "turned.step"
    path.write_text(re.sub(rf"((?:{what})\([^;]*\.)T(?=\.\))", r"\1F", sound, count=count), "latin-1")
    assert path.read_text("latin-1") != sound
    assert unfold(read_solid(path), by_k).volume == pytest.approx(80 * (70 + 2 * math.pi), rel=1e-9)


def test_what_is_spoken_of_twice_is_no_ring(tmp_path: Path) -> None:
    """The edge of a drilled hole begins and ends in one and the same vertex."""
    drilled = filleted_angle().cut(cq.Workplane().center(30, 12).circle(4).extrude(10, both=True)).val()
    assert refusal_of(lambda: checked_text(written(drilled, tmp_path / "drilled.step"))) == ""


def refusal_of(act: Callable[[], object]) -> str:
    """The message when it was refused, or nothing; any other error comes through."""
    try:
        act()
    except InputError as refusal:
        return str(refusal)
    return ""


def lines_of(text: str) -> list[str]:
    """The statements of the data section."""
    found = DATA.search(text)
    assert found is not None
    return [line + ";\n" for line in found[0].split(";\n") if line.strip()]


def with_lines(text: str, lines: list[str]) -> str:
    """The file with another data section."""
    return DATA.sub(lambda _: "".join(lines), text)


def without_unit(text: str) -> str:
    """The file without a word on its units."""
    return re.sub(r"GLOBAL_UNIT_ASSIGNED_CONTEXT\s*\(\([^)]*\)\)", "", text)


def ring(text: str) -> str:
    """A shell that counts itself among its faces."""
    return re.sub(r"(#(\d+) = CLOSED_SHELL\('',\()", r"\1#\2,", text)


BROKEN = {
    "empty": (lambda _: "", "is empty"),
    "blank": (lambda _: " \n \n", "is empty"),
    "another format": (lambda _: "solid angle\nfacet normal 0 0 1\n", "first line = 'solid angle': is not that of"),
    "separators alone": (lambda _: "\x1c\x1d", r"first line = '\x1c\x1d'"),
    "binary": (lambda text: text[:300] + "\0\1\2" * 50 + text[300:], "binary data"),
    "cut short": (lambda text: text[: len(text) // 2], "cut short"),
    "no data": (lambda text: with_lines(text, []), "nothing in the file"),
    "no data section": (lambda text: text.replace("DATA;", ""), "no data section"),
    "a line lost": (lambda text: with_lines(text, lines_of(text)[:-60] + lines_of(text)[-59:]), "is not in the file"),
    "a bracket lost": (lambda text: text.replace("PLANE('',", "PLANE('',("), "not a sound line"),
    "a line twice": (lambda text: with_lines(text, [*lines_of(text), lines_of(text)[40]]), "a second time"),
    "an absurd number": (lambda text: text.replace("50.,", "1.E300,"), "out of all range"),
    "defined by itself": (ring, "is defined by itself"),
    "curves only": (
        lambda text: re.sub("MANIFOLD_SOLID_BREP|CLOSED_SHELL", "GEOMETRIC_CURVE_SET", text),
        "surfaces, but no closed solid",
    ),
    "no solid": (
        lambda text: with_lines(text, [s for s in lines_of(text) if "CARTESIAN_POINT" in s]), "there is no solid",
    ),
}  # fmt: skip


@pytest.mark.parametrize("kind", BROKEN)
def test_broken_text_is_refused_before_the_kernel_sees_it(kind: str, sound: str, tmp_path: Path) -> None:
    """One line that names the file and the fault."""
    spoil, reason = BROKEN[kind]
    path = tmp_path / "angle.step"
    path.write_text(spoil(sound), "latin-1")
    with pytest.raises(InputError) as refusal:
        checked_text(path)
    assert reason in str(refusal.value)
    assert str(refusal.value).startswith("angle.step: ")
    assert "\n" not in str(refusal.value)


@pytest.mark.parametrize(
    ("entry", "problem"),
    [
        ("CARTESIAN_POINT('',(1.E100,0.,0.))", ""),
        ("CARTESIAN_POINT('',(1.5E-0100,0.,0.))", ""),
        ("CARTESIAN_POINT('',(1.E101,0.,0.))", "out of all range"),
        ("CARTESIAN_POINT('',(1.E-1000,0.,0.))", ""),
        ("CARTESIAN_POINT('',(1.E+9999999999,0.,0.))", "out of all range"),
        ("POINT_SET('it''s',(#123456789012345678))", ""),
        ("POINT_SET('',(#123456789012345679))", "is spoken of"),
        ("POINT_SET('',(#1234567890123456789))", "is spoken of"),
        ("POINT_SET('',(#1)", "not a sound line"),
        ("POINT_SET('never closed)", "not a sound line"),
    ],
)
def test_at_the_bounds_of_what_a_line_may_hold(entry: str, problem: str, sound: str, tmp_path: Path) -> None:
    """Powers of ten to 100, tiny ones as they come, instances of up to 18 digits in the file, brackets in pairs."""
    path = tmp_path / "bounds.step"
    more = f"#999991={entry};\n#123456789012345678=CARTESIAN_POINT('',(0.,0.,0.));\n"
    path.write_text(DATA.sub(lambda found: more + found[0], sound), "latin-1")
    refusal = refusal_of(lambda: checked_text(path))
    assert problem in refusal
    assert bool(refusal) == bool(problem)


@pytest.mark.parametrize(("long", "shown"), [(40, "x" * 40), (41, "x" * 40 + "...")])
def test_of_a_first_line_forty_letters_are_shown(long: int, shown: str, tmp_path: Path) -> None:
    """A line of 40 is shown as it is, a longer one cut there."""
    path = tmp_path / "long.step"
    path.write_text("x" * long + "\nmore\n", "latin-1")
    assert f"first line = '{shown}': " in refusal_of(lambda: checked_text(path))


def test_a_missing_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_solid(tmp_path / "none.step")


def test_shuffled_statements_are_still_the_same_file(sound: str, tmp_path: Path) -> None:
    """ISO 10303-21 gives the order of instances no meaning."""
    lines = lines_of(sound)
    random.Random(7).shuffle(lines)
    path = tmp_path / "angle.step"
    path.write_text(with_lines(sound, lines), "latin-1")
    assert unfold(read_solid(path), by_k).blank.area == pytest.approx(
        40 * (70 + 1.5707963267948966 * 3.88), rel=1e-9
    )


SPOILT = {
    "no unit": (without_unit, "unit of length = none"),
    "metres for mm": (lambda text: text.replace(".MILLI.,.METRE.", "$,.METRE."), None),
    "kilometres": (
        lambda text: text.replace(".MILLI.,.METRE.", ".KILO.,.METRE."),
        "not the size of a sheet part",
    ),
    "all in one plane": (
        lambda text: re.sub(r"(?<=\()-?[\d.E+-]+,-?[\d.E+-]+,", "0.,0.,", text),
        "no closed solid",
    ),
    "wrong kinds": (lambda text: text.replace("EDGE_CURVE(", "DIRECTION("), "no closed solid"),
    "a corner out of place": (
        lambda text: text.replace("(50.,0.,2.)", "(50.,0.,9.)"),
        "thickness = not constant",
    ),
}


@pytest.mark.parametrize("kind", SPOILT)
def test_what_the_kernel_stumbles_over_is_one_line_too(kind: str, sound: str, tmp_path: Path) -> None:
    """Files that are sound text and no sound part; in metres the part is a thousand times as large, and a part."""
    spoil, reason = SPOILT[kind]
    path = tmp_path / "angle.step"
    path.write_text(spoil(sound), "latin-1")
    if reason is None:
        assert unfold(read_solid(path), by_k).thickness == pytest.approx(2000.0)
        return
    with pytest.raises(InputError) as refusal:
        unfold(read_solid(path), by_k)
    assert reason in str(refusal.value)
    assert "\n" not in str(refusal.value)


@pytest.mark.parametrize("seed", range(2))
def test_random_damage_never_gives_more_than_one_line(seed: int, sound: str, tmp_path: Path) -> None:
    """References swapped at random, which the kernel sees: a blank, or an InputError of one line."""
    rng = random.Random(seed)
    references = re.findall(r"#\d+(?=[,)])", sound)
    text = sound
    for _ in range(3):
        place = rng.choice(list(re.finditer(r"#\d+(?=[,)])", text)))
        text = text[: place.start()] + rng.choice(references) + text[place.end() :]
    path = tmp_path / "angle.step"
    path.write_text(text, "latin-1")
    refused = refusal_of(lambda: unfold(read_solid(path), by_k))
    assert refused.isprintable()


@pytest.mark.parametrize("seed", range(100))
def test_random_bytes_never_give_more_than_one_line(seed: int, sound: str, tmp_path: Path) -> None:
    """Bytes changed, lost, doubled or moved: the reader of the text says yes or one line of no."""
    rng = random.Random(seed)
    raw = bytearray(sound.encode("latin-1"))
    for _ in range(rng.randrange(1, 8)):
        here, there = sorted(rng.randrange(len(raw)) for _ in range(2))
        match rng.randrange(4):
            case 0:
                raw[here] = rng.randrange(256)
            case 1:
                del raw[here : here + rng.randrange(40)]
            case 2:
                raw[there:there] = raw[here : here + rng.randrange(40)]
            case _:
                del raw[there:]
                break
    path = tmp_path / "angle.step"
    path.write_bytes(bytes(raw))
    assert refusal_of(lambda: checked_text(path)).isprintable()


def test_the_first_line_may_stand_on_that_of_the_word_data(sound: str, tmp_path: Path) -> None:
    path = tmp_path / "angle.step"
    assert "DATA;\n#" in sound
    path.write_text(sound.replace("DATA;\n#", "DATA;#", 1), "latin-1")
    checked_text(path)


def test_what_is_used_twice_is_looked_at_once(sound: str, tmp_path: Path) -> None:
    """Sixty lines, each used twice by the one before it: one way after the other they would be 2^60."""
    rungs = [f"#{900000 + n} = RUNG(#{900001 + n},#{900001 + n});\n" for n in range(60)]
    shell = re.sub(r"(CLOSED_SHELL\('',\()", r"\1#900000,", sound)
    path = tmp_path / "angle.step"
    path.write_text(with_lines(shell, [*lines_of(shell), *rungs, "#900060 = END('');\n"]), "latin-1")
    checked_text(path)


@pytest.mark.usefixtures("in_a_new_process")
@pytest.mark.parametrize(
    ("child", "time_limit", "reason"),
    [
        ("import os; os.abort()", 60.0, "the kernel broke down over it"),
        ("import time; time.sleep(60)", 0.5, "not done with it after 0.5 s"),
    ],
)
def test_a_crash_or_a_hang_of_the_kernel_stays_in_its_own_process(
    child: str, time_limit: float, reason: str, sound: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The reading process is put out of action on purpose."""
    (tmp_path / "broken_child.py").write_text(child)
    monkeypatch.setattr(sys, "path", [str(tmp_path), *sys.path])
    monkeypatch.setattr(step, "CHILD", "broken_child")
    path = tmp_path / "angle.step"
    path.write_text(sound, "latin-1")
    with pytest.raises(InputError, match=reason):
        read_solid(path, time_limit=time_limit)


def test_the_process_that_reads_a_file_has_limits(tmp_path: Path) -> None:
    """
    A reader in place of the real one tells what it works under: 5 s, 10 for each megabyte beyond a half; 1 GiB.
    """
    path = tmp_path / "two.step"
    path.write_bytes(b" " * 2_000_000)
    code = """
import resource, sys
from formparts.unfolder import step_child
limits = (resource.RLIMIT_CPU, resource.RLIMIT_DATA)
step_child.checked_text = lambda path: None
step_child._read = lambda *_: [resource.getrlimit(limit)[0] for limit in limits]
step_child.main(sys.argv[1:])
"""
    report = tmp_path / "report.json"
    subprocess.run([sys.executable, "-c", code, str(report), str(path), str(tmp_path / "shape")], check=True)
    assert json.loads(report.read_text(encoding="utf-8")) == {"found": [20, 1024**3]}


HEADER = "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('','',(''),(''),'','','');\n"
EMPTY = f"{HEADER}FILE_SCHEMA(('AUTOMOTIVE_DESIGN'));\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("no STEP file at all\n", "cannot be read as a STEP file"),
        (EMPTY, "the file must state one"),
        (EMPTY.replace("DATA;\n", "DATA;\n#1=SI_UNIT($,.METRE.);\n"), "the file must state one"),
    ],
)
def test_the_reader_says_itself_what_is_wrong(text: str, said: str, tmp_path: Path) -> None:
    """What is looked at before the kernel is asked never comes so far; the reader does not count on it."""
    path = tmp_path / "wrong.step"
    path.write_text(text)
    with silence(), pytest.raises(InputError, match=said):
        step_child._read(path, tmp_path / "shape")


def test_every_face_of_a_file_has_its_name(sound: str, tmp_path: Path) -> None:
    """The first and the last of them too."""
    path = tmp_path / "named.step"
    numbers = iter(range(1, 100))
    path.write_text(re.sub(r"ADVANCED_FACE\(''", lambda _: f"ADVANCED_FACE('face {next(numbers)}'", sound))
    count = next(numbers) - 1
    assert set(read_solid(path).faces) == {f"face {number}" for number in range(1, count + 1)}
    assert count == len(filleted_angle().val().Faces())
