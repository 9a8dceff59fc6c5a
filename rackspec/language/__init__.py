"""1. Text to tree: ``parse`` never raises, it always gives a tree and a list of findings."""
