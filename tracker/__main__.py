"""`python -m tracker` is the command `kerfcard`."""

from tracker.cli.main import main

if __name__ == "__main__":
    main()
