"""`python -m couchside` is the command `couchside`."""

from couchside.cli import main

if __name__ == "__main__":
    raise SystemExit(main())
