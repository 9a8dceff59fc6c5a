"""``python -m rackspec``."""

import sys

from rackspec.cli.main import main

sys.exit(main())
