"""rackspec: a rack of synthesizer modules written down as text, inspected before a hole is drilled."""

__version__ = "0.1.0"
