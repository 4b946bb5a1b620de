"""`python -m panelwright`."""

from .cli import main

if __name__ == "__main__":
    main(prog_name="panelwright")
