"""`python -m daemon` is `naupliad`."""

from daemon.cli import main

main()
