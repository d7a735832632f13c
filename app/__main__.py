"""``python -m app`` is ``changewright``."""

import sys

from app.main import main

sys.exit(main())
