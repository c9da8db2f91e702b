"""The manual: plain pages made by running the examples of the docstrings, so that no picture in it is old."""
