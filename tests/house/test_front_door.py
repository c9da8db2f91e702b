"""At the front door: nothing of another kind comes in, and what comes in is not touched."""

from __future__ import annotations

import inspect
import math
import pickle
from collections.abc import Callable
from contextlib import suppress
from typing import Any

import pytest

import formparts as fp
from formparts.arguments import listed, takes
from formparts.bending import Din6935, KFactor, blank_length, missing_mould_length
from formparts.errors import FormpartsError, InputError
from tests.house.public import HOME_OF, public

ODD: tuple[object, ...] = (None, 3, "x", float("nan"), [], {}, object(), b"x", ("a",))
BODY = fp.plate(fp.Sheet(2, 3), fp.rectangle(60, 40), "lid")


def public_functions() -> list[str]:
    return [name for name in sorted(HOME_OF) if inspect.isfunction(public(name))]


def wanted(function: Callable[..., Any]) -> list[inspect.Parameter]:
    """The parameters that must be given, and may be without a name."""
    return [
        one
        for one in inspect.signature(function).parameters.values()
        if one.default is one.empty and one.kind in (one.POSITIONAL_ONLY, one.POSITIONAL_OR_KEYWORD)
    ]


def named(function: Callable[..., Any]) -> list[str]:
    """What must be given by name."""
    parameters = inspect.signature(function).parameters.values()
    return [one.name for one in parameters if one.kind is one.KEYWORD_ONLY and one.default is one.empty]


NEED_OUR_OWN = [
    name for name in public_functions() if any(str(one.annotation) in HOME_OF for one in wanted(public(name)))
]


def test_many_functions_take_what_is_our_own() -> None:
    """The next test looks at something; some names of it that must be there."""
    assert {"blank", "solid", "properties", "drawing", "write_msh", "bill", "region", "cut"} <= set(
        NEED_OUR_OWN
    )
    assert len(NEED_OUR_OWN) > 40


@pytest.mark.parametrize("name", NEED_OUR_OWN)
def test_another_kind_is_refused_in_one_line(name: str) -> None:
    """A public function that is written for a body, an outline, a blank... says so when it is given anything else."""
    function = public(name)
    for odd in ODD:
        with pytest.raises(InputError) as refused:
            function(*[odd] * len(wanted(function)))
        assert "\n" not in str(refused.value)


def public_classes() -> list[str]:
    """All but the errors, and the protocols, of which nothing can be made."""
    kinds = {name: public(name) for name in HOME_OF if inspect.isclass(public(name))}
    left_out = {name for name, kind in kinds.items() if issubclass(kind, Exception) or kind is fp.BendRule}
    return sorted(set(kinds) - left_out)


@pytest.mark.parametrize("name", public_functions() + public_classes())
def test_nothing_public_ends_in_a_foreign_error(name: str) -> None:
    """Whatever one thing is given for everything: a result, or an error of formparts."""
    function = public(name)
    for odd in ODD:
        with suppress(FormpartsError):
            function(*[odd] * len(wanted(function)), **dict.fromkeys(named(function), odd))


def planted(body: Body, *outlines: Outline, blank: Blank | None = None, texts: Sequence[str] = ()) -> str:  # noqa: F821
    """A function as they are in the rooms."""
    return f"{body.name} {len(outlines)} {blank} {list(texts)}"


def gathering(body: Body, /, **fixed: object) -> tuple[Body, dict[str, object]]:  # noqa: F821
    """One whose recipe may have a parameter called body."""
    return body, fixed


def test_what_fits_comes_through_untouched() -> None:
    guarded = takes(
        body="Body", outlines="Outline", blank=("Blank", "None"), texts=listed("str", "Sequence")
    )(planted)
    disc = fp.disc(3)
    assert guarded(BODY, disc, disc, blank=None, texts=("a", "b")) == planted(
        BODY, disc, disc, blank=None, texts=("a", "b")
    )
    assert guarded(body=BODY) == planted(BODY)
    assert takes(body="Body")(gathering)(BODY, body=3) == (BODY, {"body": 3})


@pytest.mark.parametrize(
    ("given", "named", "said"),
    [
        ((None,), {}, "planted: body = None: is of type NoneType; Body is wanted"),
        ((), {"body": 3}, "planted: body = 3: is of type int; Body is wanted"),
        ((BODY, 3), {}, "planted: outlines = 3: is of type int; Outline is wanted"),
        ((BODY, BODY), {}, "is of type Body; Outline is wanted"),
        ((BODY, fp.disc(3), "x"), {}, "planted: outlines = x: is of type str; Outline is wanted"),
        ((BODY,), {"blank": BODY}, "is of type Body; Blank or None is wanted"),
        ((BODY,), {"texts": "ab"}, "planted: texts = ab: is of type str; a list is wanted"),
        ((BODY,), {"texts": 3}, "planted: texts = 3: is of type int; a list is wanted"),
        ((BODY,), {"texts": ["a", 3]}, "planted: texts = 3: is of type int; a text is wanted"),
    ],
)
def test_what_does_not_fit_is_named(given: tuple[Any, ...], named: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError) as refused:
        takes(body="Body", outlines="Outline", blank=("Blank", "None"), texts=listed("str", "Sequence"))(
            planted
        )(*given, **named)
    assert said in str(refused.value)


class Doubled:
    """A rule of your own: no more than the method is asked of it."""

    def allowance(self, angle: float, inside_radius: float, thickness: float) -> float:
        return math.radians(angle) * (inside_radius + thickness / 3.0)


@pytest.mark.parametrize("rule", [KFactor(0.5), Din6935(), fp.bend_rule("K 0.5"), Doubled()])
def test_every_bend_rule_comes_in(rule: fp.BendRule) -> None:
    """A leg of 30 and one of 20 round R 2 of 2 mm: less two setbacks of 4, more one allowance."""
    length = blank_length((30, 20), 90, 2, 2, rule)
    assert length == pytest.approx(50 - 8 + rule.allowance(90, 2, 2))
    assert missing_mould_length(length, (30,), 90, 2, 2, rule) == pytest.approx(20)
    with pytest.raises(InputError, match="a bend rule is wanted"):
        blank_length((30, 20), 90, 2, 2, 0.44)  # type: ignore[arg-type]


def test_a_public_function_is_pickled_and_read_as_itself() -> None:
    """Another process finds it again; its manual page and signature are those of the room's function."""
    from formparts.closed_forms import properties

    assert pickle.loads(pickle.dumps(properties)) is properties
    assert list(inspect.signature(properties).parameters) == ["body"]
