"""`python -m handouts`."""

from handouts.cli import main

main()
