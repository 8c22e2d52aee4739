"""Puts this folder on the path, so that tests anywhere below it can use `sketch`."""
