"""The manual: plain pages made by running the examples of the docstrings, so that every picture is current."""
