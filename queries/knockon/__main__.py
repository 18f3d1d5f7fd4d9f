"""Start the command line: ``python -m knockon`` and the console script."""


def main() -> None:
    """Run the command line; ends in ``SystemExit`` with its exit status."""
    import gc

    gc.set_threshold(100_000, 50, 50)  # a short command would spend a twentieth of its time on looking for garbage

    from knockon.queries.ui.command_line import main as command_line

    raise SystemExit(command_line())


if __name__ == "__main__":
    main()
