"""The errors are one tree, as drawn; each survives pickling and says what it has to say in one line."""

from __future__ import annotations

import builtins
import copy
import pickle
import re

import pytest

from formparts import errors


def tree(kind: type[BaseException]) -> list[type[BaseException]]:
    """Give an error class and all that are derived from it."""
    return [kind, *(below for child in kind.__subclasses__() for below in tree(child))]


FAMILY = tree(errors.FormpartsError)

FIELDS: dict[type[BaseException], tuple[object, ...]] = {
    errors.FormpartsError: ("something",),
    errors.InputError: ("ring_riser", "lug_count", 9, "lugs 1 and 2 overlap by 1.2 mm", "at most 8 fit", ""),
    errors.UnitsError: ("z_clip", "width", "3 kg", "is a mass", "give a length", "mm"),
    errors.FileProofError: ("part.step", "volume 1.0 instead of 1.1 mm3"),
    errors.KernelError: ("solid of z_clip", "StdFail_NotDone", "z_clip(width=3)"),
    errors.OwnFaultError: ("steel.step", "ZeroDivisionError: division by zero, laid.py line 3", ""),
}


def test_every_error_of_the_library_is_in_the_family() -> None:
    """No error class is outside the tree, and every one of them is tried below."""
    defined = {value for value in vars(errors).values() if isinstance(value, type)}
    assert defined == set(FAMILY) == set(FIELDS)


def test_tree_is_as_drawn() -> None:
    """The picture at the top of the module is the tree: names, order of descent and builtin parents."""
    drawn, above = {}, [errors.FormpartsError.__name__]
    for line in errors.__doc__.splitlines():
        if found := re.match(r"((?:\|  )*)\|- (\w+)(?: \((\w+)\))?", line):
            depth = len(found[1]) // 3 + 1
            above[depth:] = [found[2]]
            drawn[found[2]] = (above[depth - 1], found[3])
    assert set(drawn) == {kind.__name__ for kind in FAMILY[1:]}
    for name, (parent, builtin) in drawn.items():
        kind = getattr(errors, name)
        assert kind.__bases__[0].__name__ == parent
        if builtin:
            assert issubclass(kind, getattr(builtins, builtin))


@pytest.mark.parametrize("kind", FAMILY, ids=lambda kind: kind.__name__)
def test_error_survives_pickling_and_copying(kind: type[BaseException]) -> None:
    """An error comes out of a worker process as it went in: type, fields and text."""
    error = kind(*FIELDS[kind])
    for protocol in range(2, pickle.HIGHEST_PROTOCOL + 1):
        for again in (pickle.loads(pickle.dumps(error, protocol)), copy.copy(error)):
            assert type(again) is kind
            assert vars(again) == vars(error)
            assert str(again) == str(error)


@pytest.mark.parametrize("kind", FAMILY, ids=lambda kind: kind.__name__)
def test_message_is_one_line_with_every_field(kind: type[BaseException]) -> None:
    """Whatever is known of a failure is reported, on one line."""
    message = str(kind(*FIELDS[kind]))
    assert "\n" not in message
    for field in FIELDS[kind][:5]:
        assert str(field) in message


def test_house_pattern_of_a_message() -> None:
    """{where}: {parameter} = {value} {unit}: {what is wrong}; {way out} (the house's pattern)."""
    error = errors.InputError("z_clip", "rise", 1.25, "is 0.75 mm too small", "at least 2 mm", "mm")
    assert str(error) == "z_clip: rise = 1.25 mm: is 0.75 mm too small; at least 2 mm"
    assert (
        str(errors.InputError("z_clip", "rise", "high", "is not a number"))
        == "z_clip: rise = high: is not a number"
    )


def test_relocated_error_keeps_its_kind() -> None:
    """A recipe puts its own name before that of the flat, and an error of units stays one."""
    error = errors.UnitsError(*FIELDS[errors.UnitsError])
    moved = error.located("hat_section")
    assert type(moved) is errors.UnitsError
    assert str(moved).startswith(f"hat_section: {error.where} width = 3 kg")
    assert str(moved.located("hat_section")) == str(moved)


def test_keyword_only_error_would_not_survive() -> None:
    """Why the fields go to the base class: an error that keeps them to itself is lost in pickling."""
    # Asked directly: a library that is loaded elsewhere may have taught pickle other ways.
    rebuild, fields = ForgetfulError(where="worker").__reduce__()[:2]
    with pytest.raises(TypeError):
        rebuild(*fields)


class ForgetfulError(Exception):
    """An error as it must not be written."""

    def __init__(self, *, where: str) -> None:
        super().__init__(where)
        self.where = where
