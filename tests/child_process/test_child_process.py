"""Foreign files are read in a process of their own, and what becomes of that is one line."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from formparts import child_process
from formparts.child_process import asked
from formparts.errors import InputError, OwnFaultError
from formparts.export import write_step
from formparts.solids import solid
from formparts.unfolder import read_solid
from formparts.verification import statements, verify
from tests.parts import CAST

pytestmark = pytest.mark.usefixtures("in_a_new_process")


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_step(solid(CAST["zed"]()), tmp_path_factory.mktemp("sound") / "zed.step")


@pytest.fixture
def child(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], str]:
    """Writes a module that the process of its own is to run, and gives its name."""

    def written(text: str) -> str:
        (tmp_path / "other_child.py").write_text(
            "import os, resource, sys, time\nfrom pathlib import Path\n"
            "from formparts import child_process\nfrom formparts.child_process import answered\n"
            f"from formparts.errors import InputError, KernelError\nreport, path = map(Path, sys.argv[1:3])\n{text}\n"
        )
        monkeypatch.syspath_prepend(tmp_path)
        return "other_child"

    return written


def test_what_is_found_comes_back(child: Callable[[str], str], sound: Path) -> None:
    """Plain data, with letters of any kind and what is not a number."""
    text = child("answered(report, path, lambda: [path.name, 'µ \\ud800', float('nan'), sys.argv[3:]])")
    name, letters, number, words = asked(text, sound, ("one", "two"))
    assert (name, letters, words) == ("zed.step", "µ \ud800", ["one", "two"])
    assert math.isnan(number)


def test_the_process_works_within_limits(child: Callable[[str], str], sound: Path, tmp_path: Path) -> None:
    """Memory, and computing time that grows with the file."""
    text = child(
        "answered(report, path, lambda: [resource.getrlimit(each)[0] for each in "
        "(resource.RLIMIT_DATA, resource.RLIMIT_AS, resource.RLIMIT_CPU)])"
    )
    assert asked(text, sound) == [child_process.MEMORY, child_process.ADDRESSES, 5]
    large = tmp_path / "large"
    large.write_bytes(b" " * 1_650_000)
    assert asked(text, large) == [child_process.MEMORY, child_process.ADDRESSES, 5 + 12]


def test_limits_from_outside_stand_where_they_are_lower(child: Callable[[str], str], sound: Path) -> None:
    """A user who may have less memory, or less time, than we would take: a sound file is read all the same."""
    text = child(
        "resource.setrlimit(resource.RLIMIT_DATA, (child_process.MEMORY // 2,) * 2)\n"
        "resource.setrlimit(resource.RLIMIT_CPU, (4, 4))\n"
        "answered(report, path, lambda: [resource.getrlimit(each)[0] for each in "
        "(resource.RLIMIT_DATA, resource.RLIMIT_CPU)])"
    )
    assert asked(text, sound) == [child_process.MEMORY // 2, 4]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("os.abort()", "zed.step: file = unreadable: the kernel broke down over it"),
        (
            "os._exit(0)",
            "the kernel broke down over it, or was not done with it in time and in 1 GB of memory; save the part anew",
        ),
        ("report.with_name('draft').write_text('{\"fou'); os.abort()", "the kernel broke down over it"),
        (
            "resource.setrlimit(resource.RLIMIT_CPU, (1, 1))\nwhile True: pass",
            "or was not done with it in time",
        ),
        (
            "answered(report, path, lambda: bytearray(child_process.MEMORY))",
            "zed.step: file = too large: it takes more than 1 GB of memory to read it; save this part alone",
        ),
        (
            "def fail():\n    raise KernelError('x', 'StdFail_NotDone: it')\nanswered(report, path, fail)",
            r"the kernel cannot read it \(StdFail_NotDone: it\)",
        ),
        (
            "def fail():\n    raise InputError('a', 'b', path, 'is bad', 'fix it')\nanswered(report, path, fail)",
            r"^a: b = .*zed\.step: is bad; fix it$",
        ),
    ],
)
def test_whatever_becomes_of_it_is_one_line(
    text: str, said: str, child: Callable[[str], str], sound: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also for a caller of `verify` in his own process, which goes on."""
    monkeypatch.setattr(statements, "CHILD", child(text))
    with pytest.raises(InputError, match=said):
        verify(sound)


def test_a_slip_of_our_own_is_not_blamed_on_the_file(
    child: Callable[[str], str], sound: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(statements, "CHILD", child("answered(report, path, lambda: 1 / 0)"))
    said = (
        r"^zed\.step: formparts itself failed \(ZeroDivisionError: division by zero, other_child\.py line 7\)"
    )
    with pytest.raises(OwnFaultError, match=said) as slipped:
        verify(sound)
    assert "answered(report, path, lambda: 1 / 0)" in slipped.value.trace


def test_one_that_sleeps_is_given_up(child: Callable[[str], str], sound: Path) -> None:
    with pytest.raises(InputError, match=r"the kernel was not done with it after 0\.5 s"):
        asked(child("time.sleep(60)"), sound, (), 0.5)


@pytest.mark.parametrize("read", [read_solid, verify], ids=["unfold", "verify"])
def test_a_file_is_read_up_to_a_size(
    read: Callable[[Path], Any], sound: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One of just that size is read, one byte less is refused with its size and a way out."""
    size = sound.stat().st_size
    monkeypatch.setattr(child_process, "LARGEST_FILE", size)
    read(sound)
    monkeypatch.setattr(child_process, "LARGEST_FILE", size - 1)
    with pytest.raises(
        InputError, match=r"^zed\.step: size = 0\.0\d+ MB: is more .*at most .* MB: save this part"
    ):
        read(sound)


def test_a_large_file_is_looked_through_by_the_other_process(tmp_path: Path) -> None:
    """Sixty thousand short lines that say nothing: refused in one line, and the caller has hardly grown by it."""
    resource = pytest.importorskip("resource", reason="limits of memory are not on this system")
    lines = "".join(f"#{number}=A();" for number in range(1, 60_000))
    path = tmp_path / "many.step"
    path.write_text(f"ISO-10303-21;HEADER;ENDSEC;DATA;{lines}ENDSEC;END-ISO-10303-21;")
    assert path.stat().st_size > child_process.SMALL
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    for read in (read_solid, verify):
        with pytest.raises(InputError, match=r"many\.step"):
            read(path)
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 20 * 1024
