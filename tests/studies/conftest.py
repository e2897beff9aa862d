"""Let the studies import their shared parts by name."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
