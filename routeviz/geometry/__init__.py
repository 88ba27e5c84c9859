"""Arrays in, arrays out: shapes, curves, distances; no trade, no unit."""
