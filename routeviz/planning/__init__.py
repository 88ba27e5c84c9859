"""Routes for tubes that nobody has drawn: which passage each takes, and where it goes, all together."""
