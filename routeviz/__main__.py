"""What ``python -m routeviz`` runs: the commands, as ``routeviz`` does."""

from routeviz.cli import main

main()
