"""Read foreign files in a separate process: a broken one may crash the solid kernel or hang it."""

from __future__ import annotations

import json
import math
import os
import re
import sys
import time
from collections.abc import Callable, Sequence
from importlib import import_module
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

from formparts.errors import InputError, KernelError, OwnFaultError

FIX: Final = "save the part anew as STEP (AP203, AP214 or AP242)"
ALONE: Final = "save this part alone, as a solid, without mesh and drawing"
LARGEST_FILE: Final = 32 * 1024 * 1024
"""
What is read at most [bytes], so that reading takes less than 1 GB of memory.

A plate with 3600 holes has 18.5 MB; to read it took 574 MB, and 14 MB more for each further megabyte.
"""
TIME_LIMIT: Final = 120.0
"""Time after which a file is given up [s]."""
MEMORY = 1024**3
"""Largest memory of the process [bytes]."""
ADDRESSES = 8 * 1024**3
"""Largest address space of the process [bytes]: the kernel's libraries reserve much that they do not use."""
COMPUTING = 5
"""Time [s] after which a small file is given up; one written by formparts takes less than 2."""
SMALL = 500_000
"""A file up to this is small [bytes]."""
COMPUTING_PER_MEGABYTE = 10
"""Additional time for each further megabyte [s]."""
WORKING = 12
"""Factor from the time to read a file to the time to read, unfold and write it [-]."""
_HERE: list[bool] = []
"""Not empty in a process that is already separate: it starts no other."""


def work_here() -> None:
    """Mark this process as separate already, so that foreign files are read in it."""
    _HERE.append(True)


def is_apart() -> bool:
    """True in a process that works on foreign files and nothing else."""
    return bool(_HERE)


def asked(module: str, path: Path, words: Sequence[str] = (), time_limit: float = TIME_LIMIT) -> Any:
    """
    Run a module on a file in a separate process; whatever ends that process does not end this one.

    Parameters
    ----------
    module : str
        It is run with the place of its answer, the file and the words, and says what it has found by `answered`.
    path : Path
        The file.
    words : sequence of str
        Further arguments of the module.
    time_limit : float [s]
        How long it may take.

    Returns
    -------
    plain data

    Raises
    ------
    InputError
        What the module refuses; or it broke down over the file, or was not done with it in time.
    OwnFaultError
        The module itself has slipped.
    """
    with TemporaryDirectory(prefix="formparts_") as folder:
        report = Path(folder, "report")
        run_module(module, path, (str(report), str(path.resolve()), *words), time_limit)
        if not report.exists():
            bound = f"in time and in {MEMORY / 1024**3:g} GB of memory"
            raise unreadable(path, f"the kernel broke down over it, or was not done with it {bound}")
        answer = json.loads(report.read_text(encoding="utf-8"))
    if "refused" in answer:
        raise InputError(*answer["refused"])
    if "slipped" in answer:
        raise OwnFaultError(*answer["slipped"])
    return answer["found"]


def run_module(module: str, path: Path, words: Sequence[str], time_limit: float) -> None:
    """Run a module in a process of its own; a crash leaves no answer, and InputError says that the time is up."""
    import subprocess

    if is_apart():
        import_module(module).main(list(words))
        return
    command = [sys.executable, "-m", module, *words]
    try:
        subprocess.run(command, env=child_environment(), timeout=time_limit, capture_output=True, check=False)
    except subprocess.TimeoutExpired as error:
        raise unreadable(path, f"the kernel was not done with it after {time_limit:g} s") from error


def child_environment() -> dict[str, str]:
    """The environment of a process that is to find the same modules as this one."""
    return {**os.environ, "PYTHONPATH": os.pathsep.join(entry or os.getcwd() for entry in sys.path)}


def unreadable(path: Path, problem: str) -> InputError:
    """Return the error for a file that crashed the kernel."""
    return InputError(path.name, "file", "unreadable", problem, FIX)


def answered(report: Path, path: Path, work: Callable[[], Any]) -> None:
    """Do the work within limits, in the separate process, and write down its result or error."""
    if not is_apart():
        limited(path)
    try:
        answer = {"found": work()}
    except MemoryError:
        limit = f"it takes more than {MEMORY / 1024**3:g} GB of memory to read it"
        answer = {"refused": InputError(path.name, "file", "too large", limit, ALONE).args}
    except KernelError as error:
        answer = {"refused": unreadable(path, f"the kernel cannot read it ({error.cause})").args}
    except InputError as error:
        answer = {"refused": error.args}
    except OwnFaultError as error:
        answer = {"slipped": error.args}
    except Exception as error:  # noqa: BLE001  an error in formparts must not be blamed on the file
        answer = {"slipped": OwnFaultError.of(path.name, error).args}
    draft = report.with_name("draft")
    draft.write_text(json.dumps(answer, default=str), encoding="utf-8")
    os.replace(draft, report)


def limited(path: Path, times: int = 1) -> None:
    """Limit memory and time for a broken file, where the system can."""
    try:
        import resource
    except ImportError:  # not on this system
        return
    _limited(resource.RLIMIT_DATA, MEMORY)
    _limited(resource.RLIMIT_AS, ADDRESSES)
    # Counted in computing time, so that a busy machine does not make a sound file a bad one.
    size = path.stat().st_size if path.is_file() else 0
    seconds = COMPUTING + math.ceil(max(0, size - SMALL) / 1e6 * COMPUTING_PER_MEGABYTE)
    _limited(resource.RLIMIT_CPU, int(time.process_time()) + times * seconds)


def _limited(kind: int, wanted: int) -> None:
    """A limit of this process, or the one that it was given from outside where that is lower."""
    import resource

    _, most = resource.getrlimit(kind)
    resource.setrlimit(kind, (wanted if most == resource.RLIM_INFINITY else min(wanted, most), most))


def require_size(path: Path) -> int:
    """Size of a file [bytes]; refuse one that would not fit into a small machine's memory."""
    size = path.stat().st_size
    if size > LARGEST_FILE:
        megabytes = 1024.0 * 1024.0
        raise InputError(
            path.name,
            "size",
            size / megabytes,
            "is more than is read of one file",
            f"at most {LARGEST_FILE / megabytes:g} MB: {ALONE}",
            "MB",
        )
    return size


def require_whole(path: Path, content: bytes) -> None:
    """Refuse a STEP file that is in several: the kernel would open every file that it names, wherever that is."""
    if re.search(rb"\bDOCUMENT_FILE\s*\(", content):
        problem = "refers to other files, and no file that is named in another is opened"
        raise InputError(path.name, "file", "in several", problem, "save it as one file, without references")
