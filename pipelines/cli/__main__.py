"""The command line as a module: ``python -m pipelines.cli``."""

from pipelines.cli.main import main

main()
