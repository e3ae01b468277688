"""Run the command line with ``python -m sporeproof``."""

from sporeproof.cli import main

if __name__ == "__main__":
    main()
