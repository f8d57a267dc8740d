"""`python -m bench.cli` is the same as `solderside`."""

from bench.cli import main

if __name__ == "__main__":
    raise SystemExit(main())
