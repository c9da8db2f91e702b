"""Foreign files are worked on in processes that are kept, and that go down with a file alone."""

from __future__ import annotations

import importlib
import os
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from types import ModuleType

import pytest

from formparts import child_process
from formparts.apart import each_apart, one_apart
from formparts.errors import FileProofError, InputError, OwnFaultError

pytestmark = pytest.mark.usefixtures("in_a_new_process")

MODULE = "work_apart"
WORK = """
import os, resource, time
from formparts.child_process import MEMORY, is_apart
from formparts.errors import FileProofError, InputError

def of(path, more=""):
    known = {"dies": os.abort, "sleeps": sleeps, "grows": grows, "slips": slips, "refused": refused}
    return known.get(path.stem, said)() or path.stem + more

def said():
    print("what the kernel says by itself")

def process(path):
    limits = [resource.getrlimit(limit)[0] for limit in (resource.RLIMIT_DATA, resource.RLIMIT_CPU)]
    return os.getpid(), is_apart(), *limits

def dies_late(path):
    if path.stem == "last" and BEFORE:
        os.abort()
    BEFORE.append(path)
    return len(BEFORE)

BEFORE = []

def sleeps():
    resource.setrlimit(resource.RLIMIT_CPU, (1, 1))
    while True: pass

def grows(): bytearray(MEMORY)

def slips(): 1 / 0

def refused(): raise FileProofError("it.dxf", "is not what was meant")
"""


@pytest.fixture(scope="module")
def work(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ModuleType]:
    """A module of work that the processes find too."""
    folder = tmp_path_factory.mktemp("work")
    (folder / f"{MODULE}.py").write_text(WORK)
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(folder)
        yield importlib.import_module(MODULE)


def test_each_file_has_its_answer_in_order(work: ModuleType) -> None:
    """By two processes at once; what is printed there gets into no answer."""
    paths = [Path(f"{name}.step") for name in ("one", "two", "dies", "three", "refused", "slips", "four")]
    found = each_apart(partial(work.of, more="!"), paths, jobs=2)
    assert [each for each in found if isinstance(each, str)] == ["one!", "two!", "three!", "four!"]
    died, refused, slipped = found[2], found[4], found[5]
    assert isinstance(died, InputError)
    assert str(died).startswith("dies.step: file = unreadable: the kernel broke down over it")
    assert isinstance(refused, FileProofError)
    assert isinstance(slipped, OwnFaultError)
    assert "slips.step: formparts itself failed (ZeroDivisionError" in str(slipped)


def test_a_process_is_kept_and_has_limits_for_each_file(work: ModuleType, tmp_path: Path) -> None:
    """Twelve times the time of reading alone: 12 x 5 s for a small file, and 12 x 12 s for 1.2 MB beyond a half."""
    large = tmp_path / "large.step"
    large.write_bytes(b" " * 1_650_000)
    (one, apart, memory, first), (other, _, _, second) = each_apart(work.process, [tmp_path, large])
    assert one == other != os.getpid()
    assert (apart, memory) == (True, child_process.MEMORY)
    assert (first // 10, second // 10) == (6, 20)


def test_a_file_that_a_used_process_died_over_is_tried_by_a_new_one(work: ModuleType) -> None:
    """What it leaves behind in a process may bring down the next file, which is not to be blamed for it."""
    assert each_apart(work.dies_late, [Path("first"), Path("last"), Path("more")]) == (1, 1, 2)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("grows", "file = too large: it takes more than 1 GB of memory to work on it; save this part alone"),
        ("sleeps", "the kernel broke down over it, or was not done with it in time and in 1 GB of memory"),
    ],
)
def test_time_and_memory_are_bounded(name: str, said: str, work: ModuleType) -> None:
    with pytest.raises(InputError, match=said):
        one_apart(work.of, Path(f"{name}.step"))
