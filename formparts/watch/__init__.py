"""Watch a recipe: a page on this machine alone that follows the recipe's file and its parameters."""

from formparts.watch.part import Watched
from formparts.watch.server import Watch, watching

__all__ = ["Watch", "Watched", "watching"]
