"""The way in: ``tersum`` and ``python -m tersum``."""

from __future__ import annotations

import sys

from tersum import __version__


def main() -> None:
    """Run the command line; the version alone is answered before anything else is loaded."""
    if sys.argv[1:] == ["--version"]:
        print(f"tersum {__version__}")
        return
    try:
        from tersum.cli.main import run

        run()
    except KeyboardInterrupt:
        # Met while modules are read, before anything could be begun: there is nothing to tell.
        sys.exit(130)


if __name__ == "__main__":
    main()
