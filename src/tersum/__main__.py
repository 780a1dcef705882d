"""The way in: ``tersum`` and ``python -m tersum``."""

from __future__ import annotations

import sys

from tersum import __version__


def main() -> None:
    """Run the command line; the version alone is answered before anything else is loaded."""
    if sys.argv[1:] == ["--version"]:
        print(f"tersum {__version__}")
        return
    from tersum.cli.main import run

    run()


if __name__ == "__main__":
    main()
