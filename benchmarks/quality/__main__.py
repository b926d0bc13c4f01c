"""`python -m benchmarks.quality`."""

import sys

from benchmarks.quality import main

raise SystemExit(main(sys.argv[1:]))
