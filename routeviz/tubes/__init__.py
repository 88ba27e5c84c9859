"""Curves of tubes and their numbers."""
