"""Run the command line as ``python -m coolsim``."""

from coolsim.cli import main

if __name__ == "__main__":
    main()
