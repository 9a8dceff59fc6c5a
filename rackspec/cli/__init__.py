"""The command line: one file a command, with imports made as it runs. Clock and environment are read here only."""
