"""`python -m underboard`."""

from underboard.cli import main

if __name__ == "__main__":
    raise SystemExit(main())
