"""The engineering: pure functions on floats in SI units, each with its source."""
