"""The command line: one file a command, which imports what it needs when it runs. Clock and environment are read here only."""
