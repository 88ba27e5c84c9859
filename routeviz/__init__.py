"""Checks and shows in 3D how the vacuum tubes of a self-playing piano lie in its case."""
