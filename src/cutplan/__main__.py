"""``python -m cutplan``."""

from __future__ import annotations

from cutplan.cli import main

if __name__ == "__main__":
    main()
