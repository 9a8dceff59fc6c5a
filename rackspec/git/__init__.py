"""Revisions: in: a folder of a git repository and a revision, out: its files, read from git's own objects."""
