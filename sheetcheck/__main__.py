"""`python -m sheetcheck` is the command `sheetcheck`."""

from sheetcheck.cli import main

if __name__ == "__main__":
    main()
