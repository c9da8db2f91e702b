"""The kinds of parameters of a recipe, each with limits and a line of text."""

from formparts.parameters.kinds import (
    ALL_KINDS,
    Angle,
    BendRuleName,
    Choice,
    Count,
    Length,
    MaterialName,
    Number,
    ParameterKind,
    Yes,
)
from formparts.parameters.parameter import Parameter

__all__ = [
    "ALL_KINDS",
    "Angle",
    "BendRuleName",
    "Choice",
    "Count",
    "Length",
    "MaterialName",
    "Number",
    "Parameter",
    "ParameterKind",
    "Yes",
]
