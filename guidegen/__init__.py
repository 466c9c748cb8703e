"""guidegen: build guides for low-voltage DC lights, computed from one fixture spec."""

__version__ = "0.1.0"
