"""One rule a file: what is measured, held against its limit."""
