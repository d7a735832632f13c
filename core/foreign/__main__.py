"""``python -m core.foreign FILE``: the throw-away process that reads a foreign file."""

from core.foreign.worker import main

if __name__ == "__main__":
    main()
