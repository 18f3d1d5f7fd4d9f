"""Start the command line: ``python -m knockon`` and the console script."""


def main() -> None:
    """Run the command line; ends in ``SystemExit`` with its exit status."""
    from knockon.queries.ui.command_line import main as command_line

    raise SystemExit(command_line())


if __name__ == "__main__":
    main()
