"""Hostile input: cases made from a seed for every reader of the command, and a run that holds it to its promises."""
