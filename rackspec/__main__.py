"""``python -m rackspec``."""

import sys

from rackspec.cli.main import command_line

sys.exit(command_line())
