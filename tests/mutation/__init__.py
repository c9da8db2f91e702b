"""Mutation testing: small faults are put into a room's code one at a time, and the tests must notice each of them."""
