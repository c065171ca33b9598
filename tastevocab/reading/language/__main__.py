"""`python -m tastevocab.reading.language`: the tools of `tastevocab/reading/fitting/tools.py`."""

import sys

from tastevocab.reading.fitting.tools import main

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
